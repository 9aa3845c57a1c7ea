// Sends what was typed by itself: one request at a time, so that none overtakes another, and until it arrives.

const PAUSE_MS = 250; // after the last key
const PATIENCE_MS = 20000;
const AGAIN_MS = [1000, 2000, 5000, 10000];

/** The server answered and will not take it as it is; the message is its sentence. */
export class Refused extends Error {}

/**
 * `read`: makes the body, at the moment it goes. `send(body, signal)`: resolves to the answer; throws Refused,
 * or an Error when it is worth trying again. `told(state, words)`: "typing", "sending", "kept", "waiting" or
 * "refused". `answered(answer, newest)`: `newest` is false when something was typed after the body was read.
 */
export function keeper({ read, send, told, answered }) {
  let timer = 0;
  let current = null;
  let unsent = false;
  let failures = 0;
  let refused = false;

  function later(ms) {
    clearTimeout(timer);
    timer = setTimeout(flush, ms);
  }

  function changed() {
    unsent = true;
    if (failures === 0) told("typing", "");
    later(failures ? AGAIN_MS[0] : PAUSE_MS);
  }

  function now() {
    unsent = true;
    return flush();
  }

  /** Sends all that stands there now; whether it arrived and was taken. */
  async function settled() {
    unsent = true;
    do await flush();
    while (current || (unsent && failures === 0 && !refused));
    clearTimeout(timer);
    return failures === 0 && !refused;
  }

  function flush() {
    clearTimeout(timer);
    if (!current && unsent) current = once().finally(onward);
    return current; // the end of the request under way looks again
  }

  function onward() {
    current = null;
    if (unsent) later(failures ? AGAIN_MS[Math.min(failures, AGAIN_MS.length) - 1] : PAUSE_MS);
  }

  async function once() {
    unsent = false;
    try {
      if (failures === 0) told("sending", "");
      const answer = await send(read(), AbortSignal.timeout(PATIENCE_MS));
      failures = 0;
      refused = false;
      answered(answer, !unsent);
      if (!unsent) told("kept", "");
    } catch (failure) {
      refused = failure instanceof Refused;
      failures = refused ? 0 : failures + 1;
      unsent ||= !refused;
      told(refused ? "refused" : "waiting", failure.message);
    }
  }

  return { changed, now, settled, pending: () => unsent || current !== null };
}
