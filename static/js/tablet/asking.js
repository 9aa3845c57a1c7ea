// Asks the server for JSON, and does not wait for ever.

/** The answer's body; null when the server is not reached in time, or says nothing that Floor would. A refusal in
 *  Floor's own words is an answer too: {error: {kind, message}}. */
export async function ask(address, patienceMs) {
  const impatient = new AbortController();
  const timer = setTimeout(() => impatient.abort(), patienceMs);
  try {
    const response = await fetch(address, { headers: { Accept: "application/json" }, signal: impatient.signal });
    const answer = await response.json();
    return response.ok || (answer.error && response.status < 500) ? answer : null;
  } catch {
    return null; // sync.js tells the operator that there is no connection
  } finally {
    clearTimeout(timer);
  }
}
