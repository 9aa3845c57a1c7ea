// The tablet's camera in the page: the one that looks away from who holds it. It is let go of whenever nobody looks.

const WANTED = { audio: false, video: { facingMode: { ideal: "environment" }, width: { ideal: 1280 }, height: { ideal: 720 } } };

const SENTENCES = {
  NotAllowedError: "The camera was not allowed. Allow it for this page in the browser's settings, then try again.",
  NotFoundError: "This tablet has no camera.",
  NotReadableError: "The camera is in use elsewhere. Close what uses it, then try again.",
  OverconstrainedError: "This tablet has no camera.",
};

/** Whether a page may ask for the camera: by https or on the same machine, in a browser that gives it to pages. */
export const mayAsk = () => Boolean(window.isSecureContext && navigator.mediaDevices && navigator.mediaDevices.getUserMedia);

/** Shows the camera in `video`. Resolves to a function that lets go of it; rejects with one sentence. */
export async function showCamera(video) {
  const stream = await ask();
  const stop = () => stream.getTracks().forEach((track) => track.stop());
  video.srcObject = stream;
  try {
    await video.play();
  } catch (failure) {
    stop();
    throw new Error(`The camera's picture cannot be shown (${failure.message}). Try again.`);
  }
  return stop;
}

async function ask() {
  try {
    return await navigator.mediaDevices.getUserMedia(WANTED);
  } catch (failure) {
    throw new Error(SENTENCES[failure.name] || `The camera cannot be used (${failure.message}). Try again.`);
  }
}
