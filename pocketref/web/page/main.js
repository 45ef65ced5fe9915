// The page's views, chosen by what stands behind "#" in the address.
//
// How a view joins: a file of its own in this folder, which is found and inlined by itself.
//     import { addView } from "./main.js";
//     import { data } from "./data.js";
//     const tape = data("tape");                     // the JSON that pocketref/web/page_data.py gives under "tape"
//     if (tape) addView({
//       name: "tape", title: say("Tape a field"), hint: say("Type readings in, and see what to move."), order: 2,
//       render(root, address) { root.append(...); },
//     });
// A view with a `hint` is offered on the first screen, in `order`; one that isn't added is linked nowhere. `render`
// gets an empty element under the view's heading (the page's h1: begin with h2), and the address in parts: for
// "#tape/plate?x=1&y=2", `address.path` is ["plate"] and `address.query` a Map. It is called again whenever the address
// changes, so what is worth a link goes into the address (`writeAddress`), and "back" is the browser's. It may give back
// the element to focus; `address.isNew` says whether another view stood there before, `address.pressed` is the id of what had
// the focus. A `heading(address)` stands in the title's place where it gives one.
//
// At hand for it:
//     dom.js    el("p", { class: "hint" }, "text", node): elements; text is never markup. button(), link(), statusLine().
//     language.js  say("Tape {pull} again", { pull }), sayCount(plays, "{count} play", "{count} plays"), joinWords: all that is read.
//     store.js  keep(key, value), recall(key, otherwise): what stays on the device; notice(): why it doesn't, if so.
//     words.js  fold, stem, startLarge.
//     data.js   data(name): what Python computed; saveFile(name, type, text): a file for the user.
// Style goes in a .css file of the same name. Targets are 48 px: classes `choice` (a wide button) and `key` (a small one).
// Files are modules of plain JavaScript; pocketref/web/page_script.py puts them into one script, each in a scope of its own.
import { tellCurrent } from "./current.js";
import { explainMissing } from "./data.js";
import { el, statusLine } from "./dom.js";
import { install } from "./install.js";
import { say } from "./language.js";
import { openReading } from "./reading.js";

const HOME = "contents";
const views = new Map();

export function addView(view) {
  views.set(view.name, view);
}

export function writeAddress(name, path = [], query = {}) {
  const place = [name, ...path].map(encodeURIComponent).join("/");
  const pairs = Object.entries(query).map(([key, value]) => `${encodeURIComponent(key)}=${encodeURIComponent(value)}`);
  return `#${place}${pairs.length ? "?" + pairs.join("&") : ""}`.replaceAll("%2C", ",");
}

export function readAddress(hash) {
  const [place, ...rest] = hash.replace(/^#/, "").split("?");
  const [name, ...path] = place.split("/").map(decode);
  const pairs = rest.join("?").split("&").filter(Boolean).map((pair) => {
    const [key, ...value] = pair.split("=");
    return [decode(key), decode(value.join("="))];
  });
  return { name, path, query: new Map(pairs) };
}

/** What a link says; what is not well written stays as it stands. */
function decode(text) {
  try {
    return decodeURIComponent(text);
  } catch {
    return text;
  }
}

/** Go on within a view: the view is rendered anew at the address, to which "back" leads unless it is only `adjusted`. */
export function goTo(address, { adjusted = false } = {}) {
  if (adjusted) history.replaceState(null, "", address);
  if (location.hash === address) show();
  else location.hash = address;
}

let shown = null;
let stage = null;
let edition = [];
let lost = null;

function show() {
  const address = readAddress(location.hash);
  const view = views.get(address.name);
  const before = shown;
  const pressed = stage.contains(document.activeElement) ? document.activeElement.id : "";
  shown = view ?? null;
  if (!view !== !before) for (const node of edition) node.hidden = Boolean(view);
  stage.hidden = !view;
  stage.replaceChildren();
  document.title = view ? `${view.heading?.(address) ?? view.title}, ${pageTitle}` : pageTitle;
  document.querySelector(".skip").href = view ? "#view" : "#main";
  const isFound = Boolean(view) || openReading(address.name, Boolean(before));
  lost.textContent = isFound ? "" : say("This page has no place \u2018{name}\u2019. It may be another edition\u2019s.", { name: address.name });
  if (!view) return;
  const heading = el("h1", { tabindex: "-1" }, view.heading?.(address) ?? view.title);
  const root = el("div", { class: "view" });
  stage.append(el("nav", { "aria-label": say("Back to the contents") }, el("a", { class: "back-home", href: `#${HOME}` }, say("Contents"))), heading, root);
  const focus = view.render(root, { ...address, isNew: view !== before, pressed }) ?? (view !== before ? heading : null);
  if (!focus || focus.id !== pressed) scrollTo(0, 0);
  focus?.focus({ preventScroll: true });
}

let pageTitle = "";

/** Links to the page in another language lead to the place that is shown, whichever way they are followed. */
function keepPlace() {
  const nav = document.querySelector(".languages");
  const follow = () => nav.querySelectorAll("a").forEach((anchor) => { anchor.hash = location.hash; });
  for (const kind of ["pointerdown", "keydown", "click"]) nav?.addEventListener(kind, follow);
}

function start() {
  explainMissing();
  keepPlace();
  if (!views.size) return addEventListener("hashchange", () => openReading(readAddress(location.hash).name, false));
  pageTitle = document.title;
  stage = el("main", { id: "view", tabindex: "-1", hidden: true });
  document.getElementById("main").after(stage);
  lost = statusLine("", { class: "trouble" });
  document.querySelector("body > header").append(lost);
  const offered = [...views.values()].filter((view) => view.hint).sort((one, other) => one.order - other.order);
  if (offered.length) {
    const tiles = offered.map((view) =>
      el("li", {}, el("a", { href: `#${view.name}` }, el("strong", {}, view.title), el("span", {}, view.hint))));
    document.querySelector("body > header").after(el("nav", { class: "tiles", "aria-label": say("What this page does") }, el("ul", {}, ...tiles)));
  }
  edition = [...document.querySelectorAll("body > header, body > .tiles, body > .side, body > #main")];
  addEventListener("hashchange", show);
  show();
  install();
  tellCurrent();
}

// Once every view has joined: all are in one script, or were imported before this runs.
if (globalThis.document) queueMicrotask(start);
