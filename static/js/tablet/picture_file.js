// A picture from the camera, made as small as it need be: what is sent is 1600 pixels long at most, upright, and made
// of pixels only. The server makes it anew once more, and trusts nothing that is sent.

const LONG_SIDE = 1600;
const SMALL_SIDE = 200; // as it is shown here until the server has it
const QUALITY = 0.8;
const SMALL_QUALITY = 0.7;

/** {blob, width, height, small}: the JPEG, and a small one as an address to show. Throws one sentence. */
export async function smaller(file) {
  const picture = await decoded(file);
  try {
    const large = drawn(picture, LONG_SIDE);
    const blob = await new Promise((done) => large.toBlob(done, "image/jpeg", QUALITY));
    if (!blob) throw new Error("The picture is too large for this tablet; take it with a lower resolution.");
    const small = drawn(picture, SMALL_SIDE).toDataURL("image/jpeg", SMALL_QUALITY);
    return { blob, width: large.width, height: large.height, small };
  } finally {
    picture.close();
  }
}

async function decoded(file) {
  try {
    return await createImageBitmap(file); // upright, as its camera says
  } catch (cause) {
    throw new Error("This is no picture that the tablet can read; take one with its camera.", { cause });
  }
}

function drawn(picture, side) {
  const scale = Math.min(1, side / Math.max(picture.width, picture.height));
  const canvas = document.createElement("canvas");
  canvas.width = Math.max(1, Math.round(picture.width * scale));
  canvas.height = Math.max(1, Math.round(picture.height * scale));
  const pen = canvas.getContext("2d");
  pen.imageSmoothingQuality = "high";
  pen.drawImage(picture, 0, 0, canvas.width, canvas.height);
  return canvas;
}
