// One post of events to the server, and what its answer means.

const PATIENCE_MS = 20000;
// What the server says of the events themselves. Any other refusal is of the way there, and may pass.
const OF_THE_EVENTS = [400, 409, 413, 422];

/** The server will not take these events as they are; the message is its sentence. */
export class Refused extends Error {}

/** Posts the body; resolves to the results. Throws Refused, or an Error when it is worth trying again. */
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
    return await resultsOf(response);
  } catch (failure) {
    if (failure instanceof Refused || failure instanceof Unusable) throw failure;
    throw new Error("The server was not reached.", { cause: failure });
  } finally {
    clearTimeout(timer);
  }
}

class Unusable extends Error {}

async function resultsOf(response) {
  const text = await response.text();
  const answer = parsed(text);
  if (OF_THE_EVENTS.includes(response.status) && typeof answer?.error?.message === "string") {
    throw new Refused(answer.error.message);
  }
  if (!response.ok || !Array.isArray(answer?.results)) {
    // A proxy or a sign-in page may answer in the server's place.
    throw new Unusable(`The server could not take the events just now (${response.status}).`);
  }
  return answer.results;
}

function parsed(text) {
  try {
    return JSON.parse(text);
  } catch {
    return null; // not from Floor, and said so by the caller
  }
}
