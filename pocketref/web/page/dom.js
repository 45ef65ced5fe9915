// Elements from values: text is always text, never markup; its apostrophes are curved, as on a face.

/** Stands after English that the page's language has no translation of. */
const UNTRANSLATED = "\u2021";

/** An element; `on...` attributes are listeners, true and false ones are set or left out; null children are left out. */
export function el(kind, attributes = {}, ...children) {
  const node = document.createElement(kind);
  for (const [name, value] of Object.entries(attributes)) {
    if (name.startsWith("on")) node.addEventListener(name.slice(2), value);
    else if (value === true) node.setAttribute(name, "");
    else if (value !== false && value !== null && value !== undefined) node.setAttribute(name, value);
  }
  const written = children.filter((child) => child !== null && child !== undefined && child !== "");
  node.append(...written.map((child) => (typeof child === "string" ? write(child.replaceAll("'", "\u2019")) : child)));
  return node;
}

/** A text as it stands; what is still in English says so to whoever has it read aloud. */
function write(text) {
  if (!text.trimEnd().endsWith(UNTRANSLATED)) return text;
  const part = document.createElement("span");
  part.lang = "en";
  part.append(text);
  return part;
}

/** A button of its own; `kind` is "choice" (wide) or "key" (small), both 48 px high. */
export function button(label, tap, kind = "choice", attributes = {}) {
  return el("button", { type: "button", class: kind, onclick: tap, ...attributes }, ...[label].flat());
}

export function link(label, href, attributes = {}) {
  return el("a", { href, ...attributes }, ...[label].flat());
}

/** A line that a screen reader says when it changes. */
export function statusLine(text = "", attributes = {}) {
  return el("p", { role: "status", class: "said", ...attributes }, text);
}

/** Text as a face sets it: what stands between asterisks is bold. */
export function bold(text) {
  return text.split("*").map((piece, number) => (number % 2 ? el("strong", {}, piece) : piece)).filter(Boolean);
}
