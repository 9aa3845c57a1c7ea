// Keeps the screen on while a run is worked on. Only with https or localhost; the lock is lost when hidden.

export function stayAwake() {
  if (!("wakeLock" in navigator)) return;
  const ask = async () => {
    if (document.visibilityState !== "visible") return;
    try {
      await navigator.wakeLock.request("screen");
    } catch (refused) {
      if (refused.name !== "NotAllowedError") throw refused; // a low battery may refuse it: the screen just sleeps
    }
  };
  document.addEventListener("visibilitychange", ask);
  ask();
}
