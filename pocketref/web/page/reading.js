// Reading the edition: following links to its parts, and what a phone's width asks of its tables and contents.
import { markHits, startSearch } from "./search.js";

const WIDE = "(min-width: 60rem)";
const ROLES = { TABLE: "table", THEAD: "rowgroup", TBODY: "rowgroup", TR: "row", TD: "cell", TH: "rowheader" };

/** Show what has that id, with the hits of a search marked; gives whether there is such a place. */
export function openReading(id, isLeavingView) {
  const target = document.getElementById(id);
  const hit = markHits(target?.closest(".part"));
  if (hit) hit.scrollIntoView({ block: "center" });
  else if (target) target.scrollIntoView();
  else if (isLeavingView) scrollTo(0, 0);
  tend();
  return Boolean(target) || !id;
}

/** What is wider than its box can be scrolled by keyboard too. */
function tend() {
  for (const box of document.querySelectorAll(".scroll")) {
    if (box.scrollWidth > box.clientWidth) box.tabIndex = 0;
    else box.removeAttribute("tabindex");
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
  addEventListener("resize", tend);
  tend();
}

if (globalThis.document) startReading();
