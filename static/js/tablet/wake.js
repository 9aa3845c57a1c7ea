// Keeps the screen on while a run is worked on. Only with https or localhost; the lock is lost when hidden.

export function stayAwake(life) {
  if (!("wakeLock" in navigator)) return;
  let lock = null;
  const ask = async () => {
    if (document.visibilityState !== "visible") return;
    try {
      lock = await navigator.wakeLock.request("screen");
    } catch (refused) {
      if (refused.name !== "NotAllowedError") throw refused; // a low battery may refuse it: the screen just sleeps
    }
    if (life.ended && lock) lock.release();
  };
  life.on(document, "visibilitychange", ask);
  life.until(() => lock && lock.release());
  ask();
}
