"use strict";
// Keeps the edition's page on the device, so that it opens without a network, as a site's own.
// What is kept belongs to one edition, told by the digest that its cards bear; each of its languages has a folder.
const EDITION = "@EDITION@";
const FOLDERS = ["@FOLDERS@"];
const PAGE = "index.html";
const FILES = [...FOLDERS.flatMap((folder) => [folder + PAGE, `${folder}site.webmanifest`]), "icon-192.png"];
const OWN = `pocketref ${registration.scope} `;
const NAME = `${OWN}${EDITION}`;

addEventListener("install", (event) => {
  event.waitUntil(caches.open(NAME).then((kept) => kept.addAll(FILES)).then(() => skipWaiting()));
});

addEventListener("activate", (event) => {
  event.waitUntil(forgetOthers().then(() => clients.claim()));
});

addEventListener("fetch", (event) => {
  if (event.request.method === "GET") event.respondWith(answer(event.request));
});

async function forgetOthers() {
  const names = await caches.keys();
  await Promise.all(names.filter((name) => name.startsWith(OWN) && name !== NAME).map((name) => caches.delete(name)));
}

async function answer(request) {
  const kept = await caches.open(NAME);
  const address = request.url.split(/[?#]/)[0];
  const isFolder = FOLDERS.some((folder) => address === registration.scope + folder);
  return (await kept.match(isFolder ? address + PAGE : request, { ignoreSearch: true })) ?? fetch(request).catch(() => (request.mode === "navigate" ? explain() : sayNothing()));
}

/** What the page itself asks for without a network, such as the feed that tells of later editions: there is nothing to say. */
function sayNothing() {
  return new Response(null, { status: 204 });
}

/** In place of a browser's own words for a file that is not on the device. */
function explain() {
  const words = "<!DOCTYPE html><html lang=en><meta name=viewport content='width=device-width'><title>Not on this device</title>"
    + "<h1>Not on this device</h1><p>This file needs a network. The page itself works without one.</p><p><a href='./'>Back to the page</a></p>";
  return new Response(words, { status: 503, headers: { "Content-Type": "text/html; charset=utf-8" } });
}
