// One post of the form to be kept and drawn, and what its answer means.

import { Refused } from "./keeper.js";

const SIGNED_OUT =
  "You are no longer signed in. What you typed is kept on this page: sign in again in another tab, and it goes on.";
const NO_NETWORK =
  "The server is not answering. What you typed is kept on this page and is sent again by itself.";

/** Posts the form's fields; resolves to the answer. Throws Refused, or an Error when it is worth trying again. */
export async function draw(address, body, signal) {
  let response;
  try {
    response = await fetch(address, { method: "POST", body, signal });
  } catch (failure) {
    throw new Error(NO_NETWORK, { cause: failure });
  }
  if (response.redirected) throw new Error(SIGNED_OUT);
  const answer = parsed(await response.text().catch(() => ""));
  if (response.ok && typeof answer?.faults === "object") return answer;
  const sentence = answer?.error?.message;
  if (response.status < 500 && sentence) throw new Refused(sentence);
  throw new Error(sentence ? `${sentence} What you typed is kept on this page.` : NO_NETWORK);
}

function parsed(text) {
  try {
    return JSON.parse(text);
  } catch {
    return null; // not from Floor, and said so by the caller
  }
}
