// Reading the edition: following links to its parts, and what a phone's width asks of its tables and contents.
import { markHits, startSearch } from "./search.js";

const WIDE = "(min-width: 60rem)";
const ROLES = { TABLE: "table", THEAD: "rowgroup", TBODY: "rowgroup", TR: "row", TD: "cell", TH: "rowheader" };

/** Show what has that id, with the hits of a search marked; gives whether there is such a place. */
export function openReading(id, isLeavingView) {
  const target = document.getElementById(id);
  const hit = markHits(target?.closest(".part"));
  if (hit) bring(hit, "center");
  else if (target) bring(target, "start");
  else if (isLeavingView) scrollTo(0, 0);
  return Boolean(target) || !id;
}

/** Scroll to a place, and again once the parts before it, laid out as they come near, have their height. */
function bring(target, block) {
  const scroll = () => target.scrollIntoView({ block });
  scroll();
  requestAnimationFrame(() => requestAnimationFrame(scroll));
}

/** What is wider than its box can be scrolled by keyboard too; where it is not, the keyboard passes by. */
function tend(entries) {
  for (const { target: box } of entries) {
    if (box.scrollWidth > box.clientWidth) box.tabIndex = 0;
    else if (box !== document.activeElement) box.removeAttribute("tabindex");
  }
}

/** Wide tables can be shown row by row on a phone: each cell says its column, and roles that it is a table all the same. */
function stackTables() {
  for (const table of document.querySelectorAll("table.wide")) {
    const columns = [...table.tHead.rows[0].cells].map((cell) => cell.textContent);
    for (const node of [table, ...table.querySelectorAll("thead, tbody, tr, td, th")]) {
      node.setAttribute("role", node.scope === "col" ? "columnheader" : ROLES[node.tagName]);
    }
    for (const cell of table.tBodies[0].querySelectorAll("td")) cell.dataset.column = columns[cell.cellIndex];
    table.classList.add("stack");
  }
}

/** Contents are folded where they would push all else off the screen. */
function foldContents() {
  const isWide = matchMedia(WIDE).matches;
  for (const each of document.querySelectorAll("nav details")) each.open = isWide;
}

function startReading() {
  stackTables();
  startSearch();
  foldContents();
  matchMedia(WIDE).addEventListener("change", foldContents);
  const watch = new ResizeObserver(tend);
  for (const box of document.querySelectorAll(".scroll")) watch.observe(box);
}

if (globalThis.document) startReading();
