// Where the game stands, told by tapping: runners, outs and count, each known or not.
import { BASES } from "./engine.js";
import { button, el } from "./dom.js";
import { joinWords, say } from "./language.js";

const NAMES = { first: say("1st"), second: say("2nd"), third: say("3rd") };
/** Their keys in a link begin so: no fact's name holds a stop. */
const PARTS = ["runners", "outs", "balls", "strikes"];
const KEY = "game.";
/** What each part is called over its keys. */
export const PART_NAMES = { runners: say("Runners"), outs: say("Outs"), balls: say("Balls"), strikes: say("Strikes") };
const MOST = { outs: 2, balls: 3, strikes: 2 };

/** What a link says of the situation, each part null if it doesn't, and in words what of it is wrong. */
export function readSituation(query) {
  const known = Object.fromEntries(PARTS.map((part) => [part, null]));
  const wrong = [];
  for (const part of PARTS.filter((each) => query.has(KEY + each))) {
    const text = query.get(KEY + part);
    if (part === "runners") {
      const held = text === "none" ? [] : text.split(",");
      const strange = held.filter((base) => !BASES.includes(base));
      if (strange.length) wrong.push(say("The link has a runner on \u2018{base}\u2019: there are {bases}.", { base: strange.join(", "), bases: joinWords(BASES) }));
      else known.runners = BASES.filter((base) => held.includes(base));
    } else if (/^\d$/.test(text) && Number(text) <= MOST[part]) known[part] = Number(text);
    else wrong.push(say("The link has \u2018{text}\u2019 {part}: there are 0 to {most}.", { text, part, most: MOST[part] }));
  }
  return { known, wrong };
}

/** The same for a link. */
export function writeSituation(known) {
  const told = PARTS.filter((part) => known[part] !== null);
  return Object.fromEntries(told.map((part) => [KEY + part, part === "runners" ? known.runners.join(",") || "none" : known[part]]));
}

export function isSituationPart(key) {
  return key.startsWith(KEY);
}

/** As the engine takes it: the count is known with both of its parts. */
export function giveSituation({ runners, outs, balls, strikes }) {
  return { runners, outs, count: balls === null || strikes === null ? null : `${balls}-${strikes}` };
}

/** What is still to be told, of "runners", "outs", "balls" and "strikes". */
export function listUntold(known) {
  return PARTS.filter((part) => known[part] === null);
}

/** Keys to tap; `change` gets what is known then. Only `parts` are asked for. */
export function askSituation(known, change, parts = PARTS) {
  const rows = PARTS.filter((part) => parts.includes(part)).map((part) => {
    const keys = part === "runners" ? writeRunnerKeys(known, change) : writeNumberKeys(part, known, change);
    return el("div", { class: "situation-row", role: "group", "aria-labelledby": `situation-${part}` }, el("span", { id: `situation-${part}` }, PART_NAMES[part]), el("div", { class: "keys" }, ...keys));
  });
  return el("div", { class: "situation" }, ...rows);
}

function writeRunnerKeys(known, change) {
  const held = known.runners ?? [];
  const toggle = (base) => {
    const next = BASES.filter((each) => (each === base ? !held.includes(each) : held.includes(each)));
    change({ ...known, runners: next.length ? next : null });
  };
  const bases = BASES.map((base) => writeKey(NAMES[base], held.includes(base), () => toggle(base), `runners-${base}`));
  const isEmpty = known.runners?.length === 0;
  return [...bases, writeKey(say("none"), isEmpty, () => change({ ...known, runners: isEmpty ? null : [] }), "runners-none")];
}

function writeNumberKeys(part, known, change) {
  return [...Array(MOST[part] + 1).keys()].map((number) =>
    writeKey(String(number), known[part] === number, () => change({ ...known, [part]: known[part] === number ? null : number }), `${part}-${number}`));
}

function writeKey(label, isPressed, tap, id) {
  return button(label, tap, "key", { "aria-pressed": String(isPressed), id: `key-${id}` });
}
