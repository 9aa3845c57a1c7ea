// One post of events to the server, and what its answer means.

const PATIENCE_MS = 20000;
// What the server says of the events themselves. Any other refusal is of the way there, and may pass.
const OF_THE_EVENTS = [400, 409, 413, 422];

/** The server will not take these events as they are; the message is its sentence. */
export class Refused extends Error {}

/** It may be tried again; the message says what was wrong. `reached`: it was Floor's own server that answered. */
export class Unusable extends Error {
  constructor(sentence, { reached = false, cause = null } = {}) {
    super(sentence, { cause });
    this.reached = reached;
  }
}

/** Posts the body; resolves to the server's answer, {server_time, results, newest, wanted}. Throws Refused or Unusable. */
export async function post(body) {
  const impatient = new AbortController();
  const timer = setTimeout(() => impatient.abort(), PATIENCE_MS);
  try {
    const response = await fetch("/sync", {
      method: "POST",
      headers: { "Content-Type": "application/json" },
      body: JSON.stringify(body),
      signal: impatient.signal,
    });
    return answerOf(response, await response.text());
  } catch (failure) {
    if (failure instanceof Refused || failure instanceof Unusable) throw failure;
    const hung = impatient.signal.aborted;
    const sentence = hung ? `The server did not answer within ${PATIENCE_MS / 1000} seconds.` : "The server was not reached.";
    throw new Unusable(sentence, { cause: failure });
  } finally {
    clearTimeout(timer);
  }
}

function answerOf(response, text) {
  const answer = parsed(text);
  const said = answer?.error?.message;
  if (typeof said === "string") {
    if (OF_THE_EVENTS.includes(response.status)) throw new Refused(said);
    if (response.status === 503) throw new Unusable(said, { reached: true }); // busy, its disk full, locked: it says which
  }
  if (!response.ok || !Array.isArray(answer?.results)) {
    // A proxy or a sign-in page may answer in the server's place.
    throw new Unusable(`The server could not take the taps just now (${response.status}).`);
  }
  return answer;
}

function parsed(text) {
  try {
    return JSON.parse(text);
  } catch {
    return null; // not from Floor, and said so by the caller
  }
}
