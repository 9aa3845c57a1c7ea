// The pictures that this tablet holds, shown from memory: those of a job are read when a page of it is opened.

import { get } from "../store.js";

const JOBS_IN_MEMORY = 3;
const ADDRESS = /^\/tablet\/picture\/([^/]+)\/(\d+)\/(.+)$/;

const inMemory = new Map(); // by code, the one on show last: {stamp, of}
const made = new Map(); // by address

/** Reads a job's pictures; to be awaited before a page of it is shown. Never rejects: without them the server's show. */
export async function readPictures(code) {
  const held = await get("held", `pictures ${code}`).catch(() => null);
  if (inMemory.get(code)?.stamp !== held?.stamp) made.clear();
  inMemory.delete(code);
  if (held) inMemory.set(code, held);
  for (const oldest of [...inMemory.keys()].slice(0, -JOBS_IN_MEMORY)) inMemory.delete(oldest);
}

/** The picture as a data: address where this tablet holds it, else the address itself. */
export function pictureOf(address) {
  if (!made.has(address)) {
    const svg = svgAt(address);
    if (svg === null) return address;
    made.set(address, `data:image/svg+xml;charset=utf-8,${encodeURIComponent(svg)}`);
  }
  return made.get(address);
}

function svgAt(address) {
  const [, code, revision, ending] = address.match(ADDRESS) ?? [];
  const pictures = inMemory.get(code)?.of[revision];
  return pictures && ending in pictures.at ? pictures.svgs[pictures.at[ending]] : null;
}
