// Finding parts of the page: whole words and their forms, the best first, each hit shown with the words around it.
import { el, link } from "./dom.js";
import { say, sayCount } from "./language.js";
import { readWords, splitWords, startLarge } from "./words.js";

const MOST_HITS = 12;
const MOST_OFFERED = 2;
const AROUND = 70;
const finders = [];
const parts = [];
let unread = [];
let wanted = [];

/** A view's own answers to a search, shown before the parts: `find(text)` gives `[{title, words, href}]`. */
export function addFinder(find) {
  finders.push(find);
}

export function startSearch() {
  const field = document.getElementById("find");
  document.getElementById("search").hidden = false;
  unread = [...document.querySelectorAll("#main .part")];
  globalThis.requestIdleCallback?.(readIdly);
  field.addEventListener("input", () => search(field));
  document.getElementById("found").after(el("ul", { id: "hits", class: "hits" }));
  search(field);
}

/** The parts' words are read while nobody waits, as they are many; a search reads those that are left. */
function readIdly(deadline) {
  while (unread.length && deadline.timeRemaining() > 0) readPart(unread.shift());
  if (unread.length) requestIdleCallback(readIdly);
}

function readPart(node) {
  const heading = node.querySelector("h3");
  const tokens = splitWords(node.textContent);
  const [number, title, tag] = ["number", "title", "tag"].map((kind) => heading.querySelector(`.${kind}`)?.textContent ?? "");
  parts.push({ node, title: `${number} ${title}`.trim(), tag, inTitle: splitWords(heading.textContent).map(({ stem }) => stem), tokens, stems: new Set(tokens.map(({ stem }) => stem)) });
}

function search(field) {
  const text = field.value.trim();
  const list = document.getElementById("hits");
  const found = document.getElementById("found");
  wanted = readWords(text);
  for (const node of document.querySelectorAll("nav[aria-labelledby='contents']")) node.hidden = wanted.length > 0;
  if (!wanted.length) {
    found.textContent = "";
    list.replaceChildren();
    return;
  }
  unread.splice(0).forEach(readPart);
  const all = splitWords(text).map(({ stem }) => stem);
  let hits = rank(all, (part) => wanted.every((word) => part.stems.has(word)));
  if (!hits.length) hits = rank(all, (part) => wanted.every((word) => [...part.stems].some((stem) => stem.startsWith(word))));
  const offered = finders.flatMap((find) => find(text));
  found.textContent = tellHits(hits.length, offered.length, text);
  list.replaceChildren(
    ...offered.slice(0, MOST_OFFERED).map(({ title, words, href }) => writeHit(title, [words], href)),
    ...hits.slice(0, MOST_HITS).map((part) => writeHit(part.title, [part.tag && `${part.tag}. `, ...quote(part)], `#${part.node.id}`)),
  );
  document.getElementById("search").scrollIntoView();
}

function tellHits(hits, offered, text) {
  if (!hits) return offered ? "" : say("No part has words like \u201c{text}\u201d.", { text });
  const held = sayCount(hits, "{count} part has words like \u201c{text}\u201d.", "{count} parts have words like \u201c{text}\u201d.", { text });
  return hits > MOST_HITS ? `${held} ${say("The {most} best come first; more words find fewer.", { most: MOST_HITS })}` : held;
}

function writeHit(title, words, href) {
  return el("li", {}, link([el("strong", {}, startLarge(title)), el("span", {}, ...words)], href, { class: "choice" }));
}

/** The parts that meet a test: those whose title says it best, then whose text has the words as they were typed. */
function rank(all, test) {
  const score = (part) => 4 * hasRun(part.inTitle, all) + 2 * wanted.every((word) => part.inTitle.includes(word))
    + hasRun(part.tokens.map(({ stem }) => stem), all);
  return parts.filter(test).map((part) => ({ ...part, score: score(part) })).sort((one, other) => other.score - one.score);
}

function hasRun(stems, run) {
  return findRun(stems, run) >= 0;
}

function findRun(stems, run) {
  return stems.findIndex((_, start) => run.every((stem, place) => stems[start + place] === stem));
}

/** The words around the first hit below the title, the hits marked. */
function quote({ node, tokens, inTitle }) {
  const text = node.textContent;
  const body = tokens.slice(inTitle.length);
  const first = body.find(({ stem }) => isWanted(stem)) ?? tokens[0];
  const from = tokens.find(({ start }) => start >= first.start - AROUND)?.start ?? 0;
  const to = tokens.findLast(({ end }) => end <= first.end + AROUND)?.end ?? text.length;
  return [from ? "\u2026 " : "", ...mark(text.slice(from, to)), " \u2026"];
}

function isWanted(stem) {
  return wanted.some((word) => stem === word);
}

/** A text with its hits as elements. */
function mark(text) {
  const pieces = [];
  let at = 0;
  for (const { stem, start, end } of splitWords(text)) {
    if (!isWanted(stem)) continue;
    pieces.push(text.slice(at, start), el("mark", {}, text.slice(start, end)));
    at = end;
  }
  return [...pieces, text.slice(at)];
}

/** Mark the hits within a part, and nowhere else; gives the first. */
export function markHits(part) {
  for (const old of document.querySelectorAll("#main mark")) {
    const parent = old.parentNode;
    old.replaceWith(...old.childNodes);
    parent.normalize();
  }
  if (!part || !wanted.length) return null;
  const walker = document.createTreeWalker(part, NodeFilter.SHOW_TEXT);
  const nodes = [];
  while (walker.nextNode()) if (!walker.currentNode.parentElement.closest("svg")) nodes.push(walker.currentNode);
  for (const node of nodes) {
    const pieces = mark(node.data);
    if (pieces.length > 1) node.replaceWith(...pieces);
  }
  return part.querySelector(".part > :not(h3) mark, mark");
}
