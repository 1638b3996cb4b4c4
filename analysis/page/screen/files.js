// Files from and to this computer, by the browser alone.

import { put } from "./dom.js";

export const download = (name, text) => saveBlob(name, new Blob([text], { type: "application/toml" }));

export function saveBlob(name, blob) {
  const link = put(document.body, "a", null, { href: URL.createObjectURL(blob), download: name });
  link.click();
  link.remove();
  // the browser still reads it after the click
  setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
}

export class UnreadableError extends Error {}

/** The text of a chosen scenario file of at most so many bytes, as it is on disk, a mark of byte order included. */
export async function textOf(file, most) {
  const bytes = await bytesOf(file, most);
  try {
    return new TextDecoder("utf-8", { fatal: true, ignoreBOM: true }).decode(bytes);
  } catch {
    throw new UnreadableError(`${file.name} is no text in UTF-8, as a scenario file is.`);
  }
}

/** The text of a chosen stock list, which may come out of an old spreadsheet. */
export async function listTextOf(file, most) {
  const bytes = new Uint8Array(await bytesOf(file, most));
  const [first, second] = bytes;
  if (first === 0xff && second === 0xfe) return new TextDecoder("utf-16le").decode(bytes);
  if (first === 0xfe && second === 0xff) return new TextDecoder("utf-16be").decode(bytes);
  try {
    return new TextDecoder("utf-8", { fatal: true }).decode(bytes);
  } catch {
    return new TextDecoder("windows-1252").decode(bytes);
  }
}

async function bytesOf(file, most) {
  if (file.size > most)
    throw new UnreadableError(`${file.name} has ${file.size} bytes; use at most ${most}.`);
  try {
    return await file.arrayBuffer();
  } catch {
    throw new UnreadableError(`${file.name} could not be read: it was moved, or may not be read.`);
  }
}
