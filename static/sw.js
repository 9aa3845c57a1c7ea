// Lets the tablet's document, its modules, styles and fonts come from this tablet, so that a reload needs no server.
// The server puts HELD before this file: {version, documents, files, later}; the first two map an address to the SHA-256
// of what stands there, `later` are the scanner's own files, which are held once they were used.

const CACHE = `floor ${HELD.version}`;
const CLIENTS = "floor clients"; // which version each open page came from: its modules come from the same
const SHELL = "/tablet/shell";
const SCAN = "/tablet/scan";
const SHELL_PAGES = [/^\/tablet\/?$/, /^\/tablet\/ticket$/, /^\/tablet\/run\/[0-9a-f-]{36}\/?$/i, /^\/t\/[^/]+(\/\d+)?\/?$/i];
const AT_ONCE = 6;

const versions = new Map(); // what CLIENTS holds, for as long as this worker lives

addEventListener("install", (event) => event.waitUntil(install()));
addEventListener("activate", (event) => event.waitUntil(dropUnused()));
addEventListener("fetch", (event) => {
  const { method, mode, url } = event.request;
  const { origin, pathname } = new URL(url);
  if (method !== "GET" || origin !== location.origin) return;
  if (mode === "navigate") {
    const held = documentOf(pathname);
    if (held) event.respondWith(documentFor(event, held));
  } else if (pathname.startsWith("/static/")) {
    event.respondWith(fileFor(event, pathname));
  }
});

function documentOf(pathname) {
  if (pathname === SCAN) return SCAN;
  return SHELL_PAGES.some((page) => page.test(pathname)) ? SHELL : null;
}

// ---- holding: all or nothing

async function install() {
  try {
    await hold();
  } catch (failure) {
    await caches.delete(CACHE);
    throw failure;
  }
  await skipWaiting(); // pages that are open go on with the version that they came from
}

async function hold() {
  const wasUsed = await usedBefore();
  const cache = await caches.open(CACHE);
  const files = Object.entries(HELD.files);
  const one = async () => {
    for (let next = files.pop(); next; next = files.pop()) await keep(cache, ...next);
  };
  await Promise.all(Array.from({ length: AT_ONCE }, one));
  if (wasUsed) await Promise.all(HELD.later.map(async (address) => cache.put(address, await fetched(address))));
  // The documents come last: a version is only ever begun with once all that it needs is here.
  for (const [address, sum] of Object.entries(HELD.documents)) await keep(cache, address, sum);
  const held = await cache.keys();
  if (held.length < Object.keys(HELD.files).length + Object.keys(HELD.documents).length) throw new Error("Part of it was lost.");
}

async function usedBefore() {
  const found = await Promise.all(HELD.later.map((address) => caches.match(address)));
  return found.some(Boolean);
}

async function keep(cache, address, sum) {
  const response = await fetched(address);
  if ((await sumOf(response.clone())) !== sum) throw new Error(`${address} is not of this version.`);
  await cache.put(address, response);
}

async function fetched(address) {
  const response = await fetch(address, { cache: "no-cache" });
  if (!response.ok || response.redirected) throw new Error(`${address} was answered with ${response.status}.`);
  return response;
}

async function sumOf(response) {
  const digest = await crypto.subtle.digest("SHA-256", await response.arrayBuffer());
  return Array.from(new Uint8Array(digest), (byte) => byte.toString(16).padStart(2, "0")).join("");
}

// ---- answering

async function documentFor(event, address) {
  const cache = await caches.open(CACHE);
  const held = await cache.match(address, { ignoreVary: true });
  if (!held) {
    // The browser threw away what was held, as it may when storage runs short.
    event.waitUntil(hold());
    return fetch(event.request);
  }
  await remember(event.resultingClientId);
  return held;
}

async function fileFor(event, pathname) {
  const version = await versionOf(event.clientId);
  if (!version) return fetch(event.request); // a page from the network has its files from there too
  const cache = await caches.open(`floor ${version}`);
  const held = await cache.match(pathname, { ignoreVary: true });
  if (held) return held;
  const response = await fetch(event.request);
  if (response.ok && version === HELD.version && HELD.later.includes(pathname)) {
    event.waitUntil(cache.put(pathname, response.clone()));
  }
  return response;
}

// ---- which version a page came from

async function remember(client) {
  if (!client) return;
  versions.set(client, HELD.version);
  const kept = await caches.open(CLIENTS);
  await kept.put(`/${client}`, new Response(HELD.version));
}

async function versionOf(client) {
  if (!client) return null;
  if (!versions.has(client)) {
    const kept = await caches.match(`/${client}`, { cacheName: CLIENTS });
    versions.set(client, kept ? await kept.text() : null);
  }
  return versions.get(client);
}

async function dropUnused() {
  const open = new Set((await clients.matchAll({ includeUncontrolled: true })).map(({ id }) => id));
  const kept = await caches.open(CLIENTS);
  for (const { url } of await kept.keys()) {
    if (!open.has(new URL(url).pathname.slice(1))) await kept.delete(url);
  }
  const used = new Set([CACHE, CLIENTS]);
  for (const client of open) used.add(`floor ${await versionOf(client)}`);
  for (const name of await caches.keys()) {
    if (name.startsWith("floor ") && !used.has(name)) await caches.delete(name);
  }
}
