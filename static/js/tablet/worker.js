// Whether this tablet opens without a server: the service worker is asked for, and it is told how far it is.
// A browser offers it only to pages that came by https, or from the same machine.

const LOOK_AGAIN_MS = 60 * 60 * 1000; // a tablet's page stays open for days and hears of a new version only if it asks

const listeners = new Set();
let now = beginning();
let reason = "";
let isNewer = false;
let watched = null;

function beginning() {
  if (!window.isSecureContext) return "plain http";
  return "serviceWorker" in navigator ? "getting ready" : "not here";
}

/** "ready": a reload needs no server; "getting ready"; "plain http": it would with https; "not here": it never will. */
export const state = () => now;

/** Why it is "not here", in the browser's words; "" otherwise. */
export const why = () => reason;

/** Whether a newer version of Floor is held than the one on show: the next document that is loaded will be it. */
export const newer = () => isNewer;

/** Calls back with the state now and whenever it, or newer(), changes; returns a function that ends it. */
export function onChange(callback) {
  listeners.add(callback);
  callback(now);
  return () => listeners.delete(callback);
}

/** To be called once the page stands: what the worker fetches must not keep the first screen waiting. */
export function register() {
  if (now !== "getting ready") return;
  look();
  setInterval(look, LOOK_AGAIN_MS);
  document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && look());
  addEventListener("online", look);
}

async function look() {
  try {
    const registration = await navigator.serviceWorker.register("/sw.js", { updateViaCache: "none" });
    if (registration === watched) {
      await registration.update();
      return;
    }
    watched = registration;
    if (registration.active) become("ready");
    else follow(registration.installing || registration.waiting);
    registration.addEventListener("updatefound", () => follow(registration.installing));
  } catch (failure) {
    // No server just now, no certificate that the browser trusts, or a window that may keep nothing.
    if (now !== "ready") become((await isHeld()) ? "ready" : "not here", failure.message);
  }
}

async function isHeld() {
  const registration = await navigator.serviceWorker.getRegistration();
  return Boolean(registration && registration.active);
}

function follow(worker) {
  const isFirst = now !== "ready";
  const look = () => {
    if (worker.state === "activated" && isFirst) become("ready");
    else if (worker.state === "activated") become("ready", "", true);
    else if (worker.state === "redundant" && isFirst) become("not here", "Not all of it could be fetched.");
  };
  worker.addEventListener("statechange", look);
  look();
}

function become(next, words = "", newer = isNewer) {
  now = next;
  reason = words;
  isNewer = newer;
  for (const callback of listeners) callback(now);
}
