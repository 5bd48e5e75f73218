// Keeps the pages of the phone so that they open without signal. The server writes the list of files above this text.
// A new version is fetched beside the old one and waits until the page says that nobody needs the old one.

const NAME = "nearest-break-shell ";

/** @type {{ version: string, page: string, files: string[] }} */
const { version, page, files } = /** @type {any} */ (self).shell;
const worker = /** @type {ServiceWorkerGlobalScope} */ (/** @type {unknown} */ (self));

worker.addEventListener("install", (event) => {
  event.waitUntil(Promise.all([goPast(event), fetchAll()]));
});

/**
 * What is sent and asked goes past this worker, where the browser can do that: no detour, and the worker has nothing
 * to do between pages, so that the next one need not wait for it.
 * @param {any} event
 */
async function goPast(event) {
  try {
    await event.addRoutes?.({ condition: { urlPattern: "/sync/*" }, source: "network" });
  } catch {
    // Only quicker.
  }
}

async function fetchAll() {
  const cache = await caches.open(NAME + version);
  await cache.addAll([page, ...files].map((address) => new Request(address, { cache: "reload" })));
}

worker.addEventListener("activate", (event) => {
  event.waitUntil(settle());
});

async function settle() {
  const old = (await caches.keys()).filter((name) => name.startsWith(NAME) && name !== NAME + version);
  await Promise.all(old.map((name) => caches.delete(name)));
  await worker.clients.claim();
}

worker.addEventListener("message", (event) => {
  if (event.data === "take over") event.waitUntil(worker.skipWaiting());
});

worker.addEventListener("fetch", (event) => {
  const { request } = event;
  const { pathname, origin } = new URL(request.url);
  if (request.method !== "GET" || origin !== location.origin) return;
  if (pathname === page || files.includes(pathname)) event.respondWith(kept(request, pathname));
  else if (request.mode === "navigate" && pathname.startsWith(new URL(worker.registration.scope).pathname)) {
    // A page of the server that is out of reach: back to the one that is here.
    event.respondWith(fetch(request).catch(() => Response.redirect(page)));
  }
});

/**
 * @param {Request} request
 * @param {string} pathname
 */
async function kept(request, pathname) {
  const cache = await caches.open(NAME + version);
  return (await cache.match(pathname)) ?? fetch(request);
}
