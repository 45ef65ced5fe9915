// What the page was given when it was made, and files that it gives its reader.
import { el } from "./dom.js";

const values = new Map();
let isTooOld = false;

/** Every value is unpacked before any view begins: deflated JSON in base64. */
async function unpackAll() {
  const blocks = [...(globalThis.document?.querySelectorAll("script[id^='data-']") ?? [])];
  isTooOld = blocks.length > 0 && typeof DecompressionStream === "undefined";
  await Promise.all(isTooOld ? [] : blocks.map(async (block) => {
    const packed = Uint8Array.from(atob(block.textContent), (letter) => letter.charCodeAt(0));
    const stream = new Blob([packed]).stream().pipeThrough(new DecompressionStream("deflate-raw"));
    values.set(block.id.replace("data-", ""), await new Response(stream).json());
  }));
}

await unpackAll();

/** The value that page_data.py computed under a name; null if the page has none. */
export function data(name) {
  return values.get(name) ?? null;
}

/** Say why there are no views, on a browser that can't unpack. */
export function explainMissing() {
  const line = document.getElementById("too-old");
  if (line) line.hidden = !isTooOld;
}

/** Give the reader a file to keep, such as saveFile("readings.csv", "text/csv", text). */
export function saveFile(name, type, text) {
  const address = URL.createObjectURL(new Blob([text], { type: `${type};charset=utf-8` }));
  const anchor = el("a", { href: address, download: name, hidden: true });
  document.body.append(anchor);
  anchor.click();
  anchor.remove();
  setTimeout(() => URL.revokeObjectURL(address), 60_000);
}
