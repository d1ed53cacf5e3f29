// The service worker of a hosted lesson. It keeps the lesson's files on the device,
// and answers from them: a lesson is replaced whole or not at all, and a new one is
// shown when the page asks for it or is opened the next time. What it is told of the
// lesson stands before this script.

interface Extendable extends Event {
  waitUntil(what: Promise<unknown>): void;
}

interface Fetching extends Extendable {
  request: Request;
  respondWith(what: Promise<Response>): void;
}

interface Scope {
  /** Of each file its SHA-256, in hex. */
  lesson: { digest: string; files: Record<string, string> };
  registration: { scope: string };
  clients: { claim(): Promise<void> };
  skipWaiting(): Promise<void>;
  addEventListener(name: string, told: (e: never) => void): void;
}

const scope = globalThis as unknown as Scope;
const { lesson } = scope;
const base = scope.registration.scope;
/** Lessons of one host share what the browser keeps: the folder tells them apart. */
const mine = `lapwright lesson ${new URL(base).pathname} `;
const cacheName = mine + lesson.digest;

scope.addEventListener("install", (e: Extendable) => e.waitUntil(bring()));
scope.addEventListener("activate", (e: Extendable) => e.waitUntil(take()));
scope.addEventListener("message", (e: MessageEvent) => { if (e.data === "now") void scope.skipWaiting(); });
scope.addEventListener("fetch", (e: Fetching) => {
  const name = nameOf(e.request);
  if (name !== null) e.respondWith(answer(e.request, name));
});

/** The file of the lesson that is asked for; null for anything else. */
function nameOf(request: Request): string | null {
  const { origin, pathname } = new URL(request.url);
  if (request.method !== "GET" || !(origin + pathname).startsWith(base)) return null;
  const name = decodeURIComponent((origin + pathname).slice(base.length)) || "index.html";
  return Object.hasOwn(lesson.files, name) ? name : null;
}

async function answer(request: Request, name: string): Promise<Response> {
  const cache = await caches.open(cacheName);
  return (await cache.match(addressOf(name))) ?? fetch(request);
}

function addressOf(name: string): string {
  return new URL(name, base).href;
}

/** Brings every file of the lesson, or keeps none. */
async function bring(): Promise<void> {
  const cache = await caches.open(cacheName);
  try {
    await Promise.all(Object.entries(lesson.files).map(async ([name, digest]) => {
      let response = await elsewhere(name, digest);
      let bytes = await response?.arrayBuffer();
      // A host that tells times by the second may call a file unchanged that came in part before: then all of it is asked for.
      for (const cache of ["no-cache", "reload"] as const) {
        if (bytes && (await digestOf(bytes)) === digest) break;
        response = await fetch(addressOf(name), { cache });
        bytes = await response.arrayBuffer();
      }
      if (!response?.ok || !bytes || (await digestOf(bytes)) !== digest) throw new Error(`${name} is not of this lesson`);
      // One that was led on from another address would answer no opening of a page.
      await cache.put(addressOf(name), new Response(bytes, { headers: { "Content-Type": response.headers.get("Content-Type") ?? "" } }));
    }));
  } catch (e) {
    await caches.delete(cacheName);
    throw e;
  }
}

/** What another lesson of this host has kept already: a file whose name carries its digest. */
async function elsewhere(name: string, digest: string): Promise<Response | null> {
  if (!name.includes(digest.slice(0, 12))) return null;
  for (const other of await caches.keys()) {
    if (!other.startsWith("lapwright ") || other === cacheName) continue;
    const cache = await caches.open(other);
    const held = (await cache.keys()).find((r) => r.url.endsWith(`/${name}`));
    const response = held && (await cache.match(held));
    if (response && (await digestOf(await response.clone().arrayBuffer())) === digest) return response;
  }
  return null;
}

async function digestOf(bytes: ArrayBuffer): Promise<string> {
  return [...new Uint8Array(await crypto.subtle.digest("SHA-256", bytes))].map((b) => b.toString(16).padStart(2, "0")).join("");
}

/** Takes the place of the lesson's older forms. */
async function take(): Promise<void> {
  for (const name of await caches.keys()) if (name.startsWith(mine) && name !== cacheName) await caches.delete(name);
  await scope.clients.claim();
}
