// What the page was given when it was made, and files that it gives its reader.
import { el } from "./dom.js";

/** The value that page_data.py computed under a name; null if the page has none. */
export function data(name) {
  const block = globalThis.document?.getElementById(`data-${name}`);
  return block ? JSON.parse(block.textContent) : null;
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
