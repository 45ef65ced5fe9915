// From a site: whether a later edition is in force, as the feed beside the editions' folders says. A page that was printed
// on cards can't be changed; without that feed, or from a file, it says nothing.
import { el } from "./dom.js";
import { wayHome } from "./install.js";
import { say } from "./language.js";

/** Show what is in force in place of this edition, above everything. */
export async function tellCurrent() {
  if (!location.protocol.startsWith("http")) return;
  const answer = await fetch(`${wayHome()}../feed.xml`, { cache: "no-cache" }).catch(() => null);
  const found = answer?.status === 200 ? findLater(await answer.text(), nameFolder(new URL(wayHome(), location.href).href), writeDay(new Date())) : null;
  if (!found) return;
  const words = [say("This edition is no longer in force."), " ", el("a", { href: `${wayHome()}../${found.folder}/index.html${found.hash}` }, found.title), ` (${found.day})`];
  document.querySelector("body > header").prepend(el("p", { class: "trouble", role: "status" }, ...words));
}

/** The day where the page is read, as ISO 8601 writes it: an edition holds from a day, which begins earlier elsewhere. */
export function writeDay(date) {
  return [date.getFullYear(), date.getMonth() + 1, date.getDate()].map((part) => String(part).padStart(2, "0")).join("-");
}

/** The newest edition that holds on the day `today`, if that is a later one than is in the folder `own`; feeds list the newest first. */
export function findLater(text, own, today) {
  const feed = new DOMParser().parseFromString(text, "application/xml");
  const entries = [...feed.getElementsByTagName("entry")].map((entry) => {
    const read = (name) => entry.getElementsByTagName(name)[0]?.textContent ?? "";
    const address = entry.getElementsByTagName("link")[0]?.getAttribute("href") ?? "";
    return { title: read("title"), day: read("updated").slice(0, 10), folder: nameFolder(read("id")), hash: address.match(/#[a-z-]+$/)?.[0] ?? "" };
  });
  const ours = entries.findIndex((entry) => entry.folder === own);
  const newest = entries.findIndex((entry) => entry.day <= today);
  return newest >= 0 && newest < ours ? entries[newest] : null;
}

/** The last folder of an address, as it stands there. */
function nameFolder(address) {
  return address.split(/[?#]/)[0].split("/").slice(0, -1).at(-1);
}
