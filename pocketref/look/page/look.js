// Shows what the server tells: the faces of the part named behind "#", and what is wrong.
const by = (id) => document.getElementById(id);
const FOLDERS = { cards: "Cards", sheets: "Sheets", plays: "Training sheets", classes: "Classes" };
const drawings = new Map();
let news;
let state;
let isLost = false;

/** An element with its attributes and what stands in it. */
function make(kind, attributes = {}, ...inner) {
  const element = document.createElement(kind);
  for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, value);
  element.append(...inner);
  return element;
}

const asked = () => decodeURIComponent(location.hash.slice(1));

/** Set text only where it differs, so that a screen reader tells nothing twice. */
function say(element, words) {
  if (element.textContent !== words) element.textContent = words;
}

function listen() {
  news?.close();
  const name = asked();
  news = new EventSource(`/news?part=${encodeURIComponent(name === "face" ? "" : name)}`);
  news.onmessage = ({ data }) => { isLost = false; state = JSON.parse(data); show(); };
  news.onerror = () => { isLost = true; if (state) tellStatus(); else say(by("status"), "No answer: is pocketref look still running?"); };
}

function tellStatus() {
  const own = state.problems.filter((each) => each.severity === "error").length;
  const errors = own === 1 ? "1 error" : `${own} errors`;
  document.body.classList.toggle("stale", isLost || (state.faces.length > 0 && !state.current && state.broken));
  if (isLost) say(by("status"), "No answer: is pocketref look still running?");
  else if (state.broken) say(by("status"), `The source can't be read: ${errors}`);
  else if (own) say(by("status"), state.proved ? errors : `${errors}; checking the rest`);
  else say(by("status"), state.proved ? "No problems found" : "Checking");
}

function show() {
  const part = state.parts.find((each) => each.name === state.part);
  const title = part ? part.title : "Nothing to show";
  say(by("whose"), state.whose || "pocketref look");
  say(by("title"), title);
  document.title = `${title} - pocketref look`;
  tellStatus();
  listParts();
  listProblems();
  showFaces(state.part, state.faces);
}

function listParts() {
  const typed = by("find").value.trim().toLowerCase();
  const key = JSON.stringify([state.parts, state.part, typed]);
  if (by("parts").dataset.key === key) return;
  by("parts").dataset.key = key;
  const held = document.activeElement?.closest?.("#parts a")?.getAttribute("href");
  const groups = Object.entries(FOLDERS).map(([folder, heading]) => {
    const parts = state.parts.filter((each) => each.folder === folder)
      .filter((each) => `${each.name} ${each.title}`.toLowerCase().includes(typed));
    const items = parts.map((each) => {
      const link = make("a", { href: `#${each.name}` }, each.title);
      if (each.name === state.part) link.setAttribute("aria-current", "page");
      if (each.faulty) link.append(" ", make("span", { class: "faulty" }, "(error)"));
      return make("li", {}, link);
    });
    return items.length ? [make("h2", {}, heading), make("ul", {}, ...items)] : [];
  });
  by("parts").replaceChildren(...groups.flat());
  if (held) [...by("parts").querySelectorAll("a")].find((link) => link.getAttribute("href") === held)?.focus();
}

function listProblems() {
  const key = JSON.stringify(state.problems);
  if (by("problems").dataset.key === key) return;
  by("problems").dataset.key = key;
  const groups = [["Here", true], ["Elsewhere", false]].map(([heading, own]) => {
    const items = state.problems.filter((each) => each.own === own).map((each) => {
      const item = make("li", { class: each.severity },
        make("p", {}, make("span", { class: "how" }, each.severity), " ", make("code", {}, each.place)),
        make("p", {}, each.sentence));
      if (each.line.trim()) item.append(make("pre", { tabindex: "0", "aria-label": "The line in the source" }, `${each.line}\n${" ".repeat(each.caret)}^`));
      if (each.hint) item.append(make("p", {}, each.hint));
      return item;
    });
    return items.length ? [make("h3", {}, heading), make("ul", {}, ...items)] : [];
  });
  by("problems").replaceChildren(...groups.flat());
  if (!state.problems.length) by("problems").append(make("p", {}, "None."));
}

async function fetchDrawing(digest) {
  const answer = await fetch(`/faces/${digest}`);
  if (!answer.ok) return null;
  return new DOMParser().parseFromString(await answer.text(), "image/svg+xml").documentElement;
}

/** All faces of the part, put in place at once when the last has come; those that stay are left alone. */
async function showFaces(part, faces) {
  for (const { digest } of faces) if (!drawings.has(digest)) drawings.set(digest, fetchDrawing(digest));
  for (const digest of drawings.keys()) if (!faces.some((face) => face.digest === digest)) drawings.delete(digest);
  const found = await Promise.all(faces.map(({ digest }) => drawings.get(digest)));
  if (state.part !== part || state.faces !== faces || found.includes(null)) return;
  by("stale").hidden = !(faces.length && (state.broken || state.problems.some((each) => each.own && each.severity === "error")));
  const shown = [...by("faces").children];
  const figures = faces.map(({ name, digest }, index) => {
    const known = shown.find((figure) => figure.dataset.digest === digest && figure.dataset.index === String(index));
    if (known) return known;
    const drawing = document.importNode(found[index], true);
    const width = drawing.getAttribute("width");
    drawing.removeAttribute("width");
    drawing.removeAttribute("height");
    const sheet = make("div", { class: "sheet", tabindex: "0", role: "group", "aria-label": `Face: ${name}` }, drawing);
    const figure = make("figure", { "data-digest": digest, "data-index": index }, make("figcaption", {}, name), sheet);
    figure.style.width = `calc(${width} * var(--zoom))`;
    return figure;
  });
  if (figures.length !== shown.length || figures.some((figure, index) => figure !== shown[index])) by("faces").replaceChildren(...figures);
}

addEventListener("hashchange", () => { if (asked() !== "face") listen(); });
by("find").addEventListener("input", () => state && listParts());

function setSize() {
  const size = by("size").value;
  document.documentElement.style.setProperty("--zoom", size === "fit" ? 2 : size);
  document.documentElement.style.setProperty("--most", size === "fit" ? "100%" : "none");
}

by("size").addEventListener("change", setSize);
setSize();  // a browser may have kept what was chosen
listen();
