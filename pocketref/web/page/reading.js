// Reading the edition: finding parts by their words, following links to them, scrolling what is wide.
import { fold } from "./words.js";

let parts = [];
let sections = [];

function list(selector) {
  return [...document.querySelectorAll(selector)].map((node) => ({
    node,
    words: fold(node.textContent),
    entry: document.querySelector(`nav a[href="#${CSS.escape(node.id)}"]`)?.parentNode,
  }));
}

function reveal({ node, entry }, visible) {
  node.hidden = !visible;
  if (entry) entry.hidden = !visible;
}

function filter() {
  const found = document.getElementById("found");
  const wanted = fold(document.getElementById("find").value).split(" ").filter(Boolean);
  let number = 0;
  for (const part of parts) {
    const visible = wanted.every((word) => part.words.includes(word));
    number += visible;
    reveal(part, visible);
  }
  for (const section of sections) reveal(section, section.node.querySelector(".part:not([hidden])") !== null);
  const all = `${number} of ${parts.length} parts`;
  found.textContent = !wanted.length ? "" : number ? `${all} hold ${wanted.join(" and ")}.` : "Nothing holds all these words.";
}

/** Show the part of that id, or what holds the place; an end to the search if it hides it. */
export function openReading(id, isLeavingView) {
  const target = document.getElementById(id);
  if (target?.closest("main [hidden]")) {
    document.getElementById("find").value = "";
    filter();
  }
  if (target && (isLeavingView || target.getBoundingClientRect().top < 0)) target.scrollIntoView();
  else if (isLeavingView) scrollTo(0, 0);
  tend();
}

/** What is wider than its box can be scrolled by keyboard too. */
function tend() {
  for (const box of document.querySelectorAll(".scroll")) {
    if (box.scrollWidth > box.clientWidth) box.tabIndex = 0;
    else box.removeAttribute("tabindex");
  }
}

const ROLES = { TABLE: "table", THEAD: "rowgroup", TBODY: "rowgroup", TR: "row", TD: "cell", TH: "rowheader" };

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

function startReading() {
  stackTables();
  parts = list("main .part");
  sections = list("main > section");
  document.getElementById("search").hidden = false;
  document.getElementById("find").addEventListener("input", filter);
  addEventListener("resize", tend);
  filter();
}

if (globalThis.document) startReading();
