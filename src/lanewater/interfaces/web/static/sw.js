/**
 * Keeps whole versions of the pages on this device and serves one of them, network or none.
 *
 * The server puts VERSION before these lines. It is a hash over the list of a version
 * (/static/shell.json), which holds the hash of every file, so that nothing half or broken is ever
 * taken for a version. A version that is whole waits beside the one in use until a page lets it take
 * over; that the browser starts this script anew changes nothing of what is served. Nothing of the
 * server's answers (/api) passes through here.
 */

"use strict";

const HOUSE = "lanewater";
const IN_USE = "/in-use";
const LIST = "/static/shell.json";
const FILES = "/static/";
const START = "/static/index.html";
const AT_ONCE = 6;
const ANSWER_MS = 2_000;
/** Of a kept answer; its length and packing were the network's. */
const NOT_KEPT = ["content-encoding", "content-length", "transfer-encoding", "date", "etag"];

const houseOf = (version) => `${HOUSE}-${version}`;
const said = (value) => new Response(JSON.stringify(value), { headers: { "Content-Type": "application/json" } });

/** @type {{version: string, pages: string[]} | null} */
let inUse = null;

self.addEventListener("install", (event) => event.waitUntil(install().then(() => self.skipWaiting())));
self.addEventListener("activate", (event) => event.waitUntil(begin().then(() => self.clients.claim())));
self.addEventListener("fetch", (event) => {
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  if (request.method !== "GET" || origin !== self.location.origin || pathname.startsWith("/api/")) return;
  if (request.mode === "navigate") event.respondWith(page(request, pathname));
  else if (pathname.startsWith(FILES)) event.respondWith(file(request, pathname));
});
self.addEventListener("message", (event) => {
  const { data, ports } = event;
  const answers = { versions, "take-over": takeOver };
  if (!ports[0] || !Object.hasOwn(answers, data?.do)) return;
  const answered = answers[data.do]().then(
    (answer) => ports[0].postMessage(answer),
    (error) => ports[0].postMessage({ error: String(error) }),
  );
  event.waitUntil(answered);
});

// --- Taking a version in ----------------------------------------------------------------------------

async function install() {
  const list = await (await fetch(LIST, { cache: "no-cache" })).json();
  if (list.version !== VERSION || (await versionOf(list)) !== VERSION) {
    throw new Error("the list is of another version");
  }
  const cache = await caches.open(houseOf(VERSION));
  const older = (await caches.keys()).filter((name) => name.startsWith(`${HOUSE}-`));
  const waiting = [...list.files];
  const worker = async () => {
    for (let one = waiting.pop(); one; one = waiting.pop()) await take(one, cache, older);
  };
  await Promise.all(Array.from({ length: AT_ONCE }, worker));
  // Last of all: a version without its list is not whole.
  await cache.put(LIST, said(list));
}

async function versionOf({ under, pages, files }) {
  const lines = [under, pages.join(" "), ...files.map(({ path, sha256 }) => `${sha256} ${path}`)];
  return hashOf(new TextEncoder().encode(lines.map((line) => `${line}\n`).join("")));
}

async function hashOf(bytes) {
  const digest = new Uint8Array(await crypto.subtle.digest("SHA-256", bytes));
  return Array.from(digest, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

/** Put one file of the version in place: from what is kept already where that fits, else fetched. */
async function take({ path, sha256 }, cache, older) {
  // The page itself carries the policy that everything in it is held to, so it is always fetched.
  for (const name of path === START ? [] : older) {
    const kept = await caches.match(path, { cacheName: name });
    if (!kept || (await hashOf(await kept.clone().arrayBuffer())) !== sha256) continue;
    if (name !== houseOf(VERSION)) await cache.put(path, kept);
    return;
  }
  for (const mode of ["no-cache", "reload"]) {
    const answer = await fetch(path, { cache: mode, credentials: "omit" });
    const bytes = await answer.arrayBuffer();
    if (!answer.ok || (await hashOf(bytes)) !== sha256) continue;
    const headers = new Headers(answer.headers);
    for (const name of NOT_KEPT) headers.delete(name);
    await cache.put(path, new Response(bytes, { headers }));
    return;
  }
  throw new Error(`${path} is not the file of this version`);
}

// --- Which version is served ------------------------------------------------------------------------

/** The first version of all is in use as soon as it is whole; each later one once a page lets it. */
async function begin() {
  if ((await used()) === null) await use(VERSION);
  await tidy();
}

async function listOf(version) {
  const list = await caches.match(LIST, { cacheName: houseOf(version) });
  return list ? list.json() : null;
}

/** The version in use; null where none is, or the browser has thrown it away. */
async function used() {
  if (inUse) return inUse;
  const pointer = await caches.match(IN_USE, { cacheName: HOUSE });
  inUse = pointer ? await listOf((await pointer.json()).version) : null;
  return inUse;
}

async function use(version) {
  const list = await listOf(version);
  if (list === null) throw new Error("that version is not whole");
  const cache = await caches.open(HOUSE);
  await cache.put(IN_USE, said({ version }));
  inUse = list;
}

/** Throw away what is neither in use nor waiting. */
async function tidy() {
  const wanted = [(await used())?.version, VERSION].map(houseOf);
  for (const name of await caches.keys()) {
    if (name.startsWith(`${HOUSE}-`) && !wanted.includes(name)) await caches.delete(name);
  }
}

async function versions() {
  const ready = (await listOf(VERSION)) !== null;
  return { used: (await used())?.version ?? "", ready: ready ? VERSION : "" };
}

/** Take over, unless a page has something in hand or does not say. */
async function takeOver() {
  if ((await listOf(VERSION)) === null) return { taken: false };
  const pages = await self.clients.matchAll({ type: "window", includeUncontrolled: true });
  const free = await Promise.all(pages.map(isFree));
  if (free.includes(false)) return { taken: false };
  await use(VERSION);
  await tidy();
  for (const one of pages) one.postMessage({ do: "start-anew" });
  return { taken: true };
}

function isFree(page) {
  return new Promise((resolve) => {
    const { port1, port2 } = new MessageChannel();
    port1.onmessage = ({ data }) => resolve(data === "free");
    setTimeout(() => resolve(false), ANSWER_MS);
    page.postMessage({ do: "in-hand" }, [port2]);
  });
}

// --- Serving ----------------------------------------------------------------------------------------

async function page(request, pathname) {
  const list = await used().catch(() => null);
  const drawn = list?.pages.includes(pathname.split("/")[1]) ?? false;
  return (drawn && (await kept(START, list))) || fetch(request);
}

async function file(request, pathname) {
  const list = await used().catch(() => null);
  return (list && (await kept(pathname, list))) || fetch(request);
}

async function kept(path, { version }) {
  return (await caches.match(path, { cacheName: houseOf(version) })) ?? null;
}
