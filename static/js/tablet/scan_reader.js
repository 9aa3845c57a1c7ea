// Reads QR codes from the camera's picture: by the browser itself where it can, else by a reader of our own, which is
// fetched only then.

const FORMAT = "qr_code";
const OWN_FORMAT = "QRCode";
const OWN_READER = new URL("../../vendor/zxing/reader/zxing_reader.wasm", import.meta.url).href;
const WIDEST_PX = 960; // more pixels make our own reader slower and find no more at a ticket's distance

/** Resolves to a function: picture of a <video> -> promise of the codes in it, the one nearest the middle first. */
export async function makeReader() {
  const own = () => ownReader();
  if (!(await browserReads())) return own();
  let read = byBrowser();
  return async (video) => {
    try {
      return await read(video);
    } catch (failure) {
      // It said that it could, and cannot: some tablets lack the part of the system that does it.
      if (failure.name === "InvalidStateError") return []; // no picture yet
      read = await own();
      return read(video);
    }
  };
}

async function browserReads() {
  if (!("BarcodeDetector" in window)) return false;
  return (await window.BarcodeDetector.getSupportedFormats()).includes(FORMAT);
}

function byBrowser() {
  const detector = new window.BarcodeDetector({ formats: [FORMAT] });
  return async (video) => {
    const codes = await detector.detect(video);
    const middle = { x: video.videoWidth / 2, y: video.videoHeight / 2 };
    return nearestFirst(codes.map(({ rawValue, cornerPoints }) => ({ text: rawValue, corners: cornerPoints })), middle);
  };
}

async function ownReader() {
  const { prepareZXingModule, readBarcodes } = await import("../../vendor/zxing/reader/index.js");
  await prepareZXingModule({ overrides: { locateFile: () => OWN_READER }, fireImmediately: true });
  const canvas = document.createElement("canvas");
  const paper = canvas.getContext("2d", { willReadFrequently: true });
  return async (video) => {
    if (!video.videoWidth) return [];
    const scale = Math.min(1, WIDEST_PX / video.videoWidth);
    canvas.width = Math.round(video.videoWidth * scale);
    canvas.height = Math.round(video.videoHeight * scale);
    paper.drawImage(video, 0, 0, canvas.width, canvas.height);
    const picture = paper.getImageData(0, 0, canvas.width, canvas.height);
    const codes = await readBarcodes(picture, { formats: [OWN_FORMAT], tryHarder: true });
    const found = codes.filter(({ isValid }) => isValid).map(({ text, position }) => ({ text, corners: Object.values(position) }));
    return nearestFirst(found, { x: canvas.width / 2, y: canvas.height / 2 });
  };
}

// A sheet of labels has many codes: the one that is pointed at is meant.
function nearestFirst(codes, middle) {
  const distance = ({ corners }) => {
    const sum = corners.reduce((all, { x, y }) => ({ x: all.x + x, y: all.y + y }), { x: 0, y: 0 });
    return Math.hypot(sum.x / corners.length - middle.x, sum.y / corners.length - middle.y);
  };
  return codes.sort((one, other) => distance(one) - distance(other)).map(({ text }) => text);
}
