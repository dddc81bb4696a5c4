// A photograph made smaller before it is kept, and the hour the camera wrote into it, which scaling would lose.

const LONGEST_PX = 1600;
const QUALITY = 0.85;
const LARGEST_BYTES = 15e6;

// { data, taken_at } or an Error whose message is a sentence.
export async function scaled(file) {
  const taken_at = (await cameraTime(file))?.toISOString() ?? new Date(file.lastModified).toISOString();
  let data = await smaller(file);
  if (!data) data = file; // a kind of picture this browser cannot draw: sent as it is
  if (data.size > LARGEST_BYTES) throw new Error("This photograph has more than 15 MB: take it anew, smaller.");
  if (!data.size) throw new Error("This file is empty: choose it again.");
  return { data, taken_at };
}

async function smaller(file) {
  try {
    const picture = await createImageBitmap(file, { imageOrientation: "from-image" });
    const factor = Math.min(1, LONGEST_PX / Math.max(picture.width, picture.height));
    const canvas = document.createElement("canvas");
    canvas.width = Math.round(picture.width * factor);
    canvas.height = Math.round(picture.height * factor);
    canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
    picture.close();
    return await new Promise((resolve) => canvas.toBlob(resolve, "image/jpeg", QUALITY));
  } catch {
    return null;
  }
}

// DateTimeOriginal and OffsetTimeOriginal of a JPEG (EXIF 2.31: tags 0x9003 and 0x9011 in the IFD that 0x8769 of the
// first IFD points to), as a Date; null where the file keeps none. Without an offset it is the phone's own clock.
export async function cameraTime(file) {
  const view = new DataView(await file.slice(0, 256 * 1024).arrayBuffer());
  try {
    const start = tiffStart(view);
    if (start === null) return null;
    const little = view.getUint16(start) === 0x4949;
    const first = entries(view, start, start + view.getUint32(start + 4, little), little);
    if (!first.has(0x8769)) return null;
    const shot = entries(view, start, start + view.getUint32(first.get(0x8769) + 8, little), little);
    return asDate(ascii(view, start, shot.get(0x9003), little), ascii(view, start, shot.get(0x9011), little));
  } catch (fault) {
    if (fault instanceof RangeError) return null; // an address beyond the end of the file
    throw fault;
  }
}

function tiffStart(view) {
  if (view.byteLength < 4 || view.getUint16(0) !== 0xffd8) return null;
  for (let at = 2; at + 10 < view.byteLength; at += 2 + view.getUint16(at + 2)) {
    if (view.getUint8(at) !== 0xff) return null;
    if (view.getUint16(at) === 0xffe1 && view.getUint32(at + 4) === 0x45786966) return at + 10;
  }
  return null;
}

function entries(view, start, at, little) {
  const found = new Map();
  const count = view.getUint16(at, little);
  for (let n = 0; n < count; n += 1) found.set(view.getUint16(at + 2 + 12 * n, little), at + 2 + 12 * n);
  return found;
}

function ascii(view, start, entry, little) {
  if (entry === undefined) return "";
  const length = view.getUint32(entry + 4, little);
  const at = length > 4 ? start + view.getUint32(entry + 8, little) : entry + 8;
  let text = "";
  for (let n = 0; n < Math.min(length, 40); n += 1) text += String.fromCharCode(view.getUint8(at + n));
  return text.replace(/\0.*$/, "");
}

function asDate(text, offset) {
  const found = /^(\d{4}):(\d\d):(\d\d) (\d\d):(\d\d):(\d\d)$/.exec(text);
  if (!found) return null;
  const [, year, month, day, hour, minute, second] = found;
  const zone = /^[+-]\d\d:\d\d$/.test(offset) ? offset : "";
  const at = new Date(`${year}-${month}-${day}T${hour}:${minute}:${second}${zone}`);
  return Number.isNaN(at.getTime()) ? null : at;
}
