// From a site: the page installs, and opens without a network. From a file there is nothing to install.
// What lies beside the page may be missing, where only the page was saved: then its links say so.
import { el } from "./dom.js";
import { say } from "./language.js";

/** The way to the edition's folder, from a page that may be in a language's folder within: where the feed lies. */
export const wayHome = () => document.querySelector("link[type='application/atom+xml']")?.getAttribute("href").replace(/[^/]*$/, "") ?? "";

export function install() {
  const isSite = location.protocol.startsWith("http");
  const icon = `${wayHome()}icon-192.png`;
  if (isSite) {
    document.head.append(el("link", { rel: "manifest", href: "site.webmanifest" }), el("link", { rel: "apple-touch-icon", href: icon }));
    navigator.serviceWorker?.register(`${wayHome()}service-worker.js`).catch(() => {});
  }
  const probe = new Image();
  probe.onerror = () => (navigator.onLine || !isSite) && markMissing();
  probe.src = icon;
}

/** Links to files of the edition are no links then. */
function markMissing() {
  for (const nav of document.querySelectorAll(".languages")) nav.hidden = true;
  for (const list of document.querySelectorAll("ul.files")) {
    list.before(el("p", { class: "missing" }, say("This page\u2019s icon is not beside it, so these files may not be either. The whole edition has them.")));
    for (const anchor of list.querySelectorAll("a[href]")) anchor.removeAttribute("href");
  }
}
