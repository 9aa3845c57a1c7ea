// The page /secure: says whether this tablet works without the server, and on plain http whether it trusts https yet.
import { onChange, register, why } from "./tablet/worker.js";

const ANSWER_WITHIN_MS = 15000;

const byId = (id) => document.getElementById(id);
const https = byId("now").dataset.https;

function cameBy() {
  if (location.protocol === "https:") return "https";
  return window.isSecureContext ? "plain http, from this machine itself, which a browser trusts too" : "plain http";
}

function works(state) {
  if (state === "ready") return "Yes. It holds Floor's pages and reloads without the server.";
  if (state === "getting ready") return "Not yet: it is fetching what it must hold. Leave this page open for a moment.";
  if (state === "plain http") return "No. All works but a reload without the server: that needs https.";
  const words = why() ? ` The browser says: ${why()}` : "";
  return `No. It does not trust the certificate, or keeps no pages (a private window), or could not fetch all.${words}`;
}

/** Any answer at all comes only from a certificate that the browser trusts; what it says does not matter. */
async function trusts() {
  try {
    const signal = AbortSignal.timeout(ANSWER_WITHIN_MS);
    await fetch(`${https}/secure/authority.crt`, { mode: "no-cors", cache: "no-store", signal });
    return "Yes. Tap “Check it” and go on there.";
  } catch {
    return "Not yet: the steps below are still to do. Or https did not answer.";
  }
}

byId("came-by").textContent = cameBy();
onChange((state) => (byId("works").textContent = works(state)));
register();
if (https && location.protocol !== "https:") {
  byId("trust-row").hidden = false;
  trusts().then((words) => (byId("trusts").textContent = words));
}
