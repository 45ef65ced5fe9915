// Lengths as a crew writes them, read by the same rules as `pocketref/units/notation.py` and written as it writes them.

import { say } from "./language.js";

export const INCH_MM = 25.4;
const FOOT_IN = 12;
const LONGEST_TEXT = 80;
const GREATEST_MM = 1e7;
const EXAMPLE = say("write it as in {example}", { example: "7 ft 2 1/2 in" });

const FOOT = { symbol: "ft", system: "us", inches: FOOT_IN };
const INCH = { symbol: "in", system: "us", inches: 1 };
const metric = (symbol, mm) => ({ symbol, system: "metric", inches: mm / INCH_MM });
const UNITS = new Map([
  ...["'", "′", "’", "ft", "foot", "feet"].map((word) => [word, FOOT]),
  ...['"', "″", "”", "in", "inch", "inches"].map((word) => [word, INCH]),
  ["mm", metric("mm", 1)], ["cm", metric("cm", 10)], ["m", metric("m", 1000)],
]);
const UNIT_WORDS = { ft: "feet", in: "inches", mm: "millimetres", cm: "centimetres", m: "metres" };
const OFFERED = ["ft", "in", "mm", "cm", "m"];
const FRACTION = "[0-9]+[/⁄][0-9]+|[⁰¹²³⁴-⁹]+⁄[₀-₉]+|[¼½¾⅐-⅞]";
const SPACES = "[ \\t\\u00a0\\u2009\\u202f]";
const TOKEN = new RegExp(
  `(?<space>${SPACES}+)` +
  `|(?<number>(?<alone>${FRACTION})|(?<whole>[0-9]+(?:\\.[0-9]+)?)(?:(?:${SPACES}*|-)(?<part>${FRACTION}))?)` +
  "|(?<word>[\\p{L}\\p{Nl}\\p{No}]+)|(?<mark>['\"′″’”])|(?<sign>[-−+])", "uy");
const JOINED = /^([0-9]{1,3})-([0-9]{1,2})(?:[- ]([0-9]+[/⁄][0-9]+))?(?: ?(?:in|["″”]))?$/;

/** What is wrong with a text, and what to write instead. */
export class Fault extends Error {
  constructor(sentence, hint) {
    super(`${sentence}: ${hint}`);
    Object.assign(this, { sentence, hint });
  }
}

/** The length that a text says, mm; throws a Fault. `nearMm` is what it should be about: its unit is offered first. */
export function readLength(text, nearMm = 0) {
  if ([...text].length > LONGEST_TEXT) {
    throw new Fault(say("{count} characters are no length", { count: [...text].length }), say("write only the length, such as {example}", { example: "7 ft 2 1/2 in" }));
  }
  const tokens = splitTokens(text);
  if (tokens[0]?.groups.sign) {
    throw new Fault(say("a length here has no sign, but this one starts with '{sign}'", { sign: tokens[0][0] }), say("leave the sign out"));
  }
  const mm = joinTerms(readTerms(text, tokens, nearMm)) * INCH_MM;
  if (mm > GREATEST_MM) throw new Fault(say("a length here is at most 10 km"), say("check the unit"));
  if (mm === 0) throw new Fault(say("a length here is more than zero"), say("check the figure and its unit"));
  return mm;
}

/** The unit that a length ends in, as a word such as "feet". */
export const nameUnit = (text) => UNIT_WORDS[UNITS.get(splitTokens(text).at(-1)[0]).symbol];

function splitTokens(text) {
  const tokens = [];
  for (let at = 0; at < text.length; at = TOKEN.lastIndex) {
    TOKEN.lastIndex = at;
    const match = TOKEN.exec(text);
    if (!match) refuseCharacter(String.fromCodePoint(text.codePointAt(at)));
    if (!match.groups.space) tokens.push(match);
  }
  return tokens;
}

function refuseCharacter(letter) {
  if (letter === ",") {
    throw new Fault(say("a comma may mean decimals or thousands"),
      say("write decimals with a point, as in 8.5 in, and thousands without a mark, as in 1200 mm"));
  }
  if (letter === ".") {
    throw new Fault(say("a decimal point stands once, between digits"), say("write 0.5 in, not .5 in; units take no full stop"));
  }
  if ("/⁄".includes(letter)) {
    throw new Fault(say("a fraction is two whole numbers with a slash between them and no spaces"), say("write it as in {example}", { example: "2 1/2 in" }));
  }
  throw new Fault(say("'{letter}' has no place in a length", { letter }), say("write it as in {one} or {other}", { one: "7 ft 2 1/2 in", other: "2.197 m" }));
}

/** Numbers each followed by a unit, at least one. */
function readTerms(text, tokens, nearMm) {
  if (!tokens.length) throw new Fault(say("a length is missing"), EXAMPLE);
  const terms = [];
  for (let at = 0; at < tokens.length; at += 2) {
    const number = readNumber(tokens[at]);
    const unit = tokens[at + 1];
    if (!unit) {
      const said = tokens[at][0];
      const isAfterFeet = terms.at(-1)?.unit === FOOT;
      const after = isAfterFeet ? say("write {one}", { one: `${said} in` }) : offer(`${said} ft`, `${said} in`);
      throw new Fault(say("{number} has no unit", { number: said }), terms.length ? after : offerUnits(number, said, nearMm));
    }
    if (unit.groups.sign) refuseJoiner(text, unit[0]);
    terms.push({ ...number, unit: readUnit(unit) });
  }
  return terms;
}

/** The lengths that a number without a unit may stand for; metric ones take no fraction. */
function offerUnits({ kind, value }, said, nearMm) {
  if (kind === "fraction") return offer(`${said} ft`, `${said} in`);
  if (!value || !nearMm) return say("write {number} ft or {number} in, or {number} mm or {number} m", { number: said });
  const off = (word) => Math.abs(Math.log((value * UNITS.get(word).inches * INCH_MM) / nearMm));
  const [first, second, third] = [...OFFERED].sort((a, b) => off(a) - off(b)).map((word) => `${said} ${word}`);
  return say("write {first}, {second} or {third}: the first is nearest the target", { first, second, third });
}

const offer = (one, other) => say("write {one} or {other}", { one, other });

/** A hyphen after a number: feet, inches and a fraction run together, or a fraction with spaces around it. */
function refuseJoiner(text, sign) {
  const joined = JOINED.exec(text.trim());
  const isLength = joined && Number(joined[2]) < FOOT_IN;
  const inches = isLength && [joined[2], joined[3]].filter(Boolean).join(" ");
  throw new Fault(say("'{sign}' stands where a unit belongs", { sign }),
    isLength ? say("write {one}", { one: `${joined[1]} ft ${inches} in` }) : say("join a fraction as in 8-1/2 in"));
}

function readNumber(token) {
  const { number, alone, whole, part } = token.groups;
  if (!number) throw new Fault(say("a number belongs here, not '{text}'", { text: token[0] }), EXAMPLE);
  if (alone) return { kind: "fraction", value: readFraction(alone) };
  const isDecimal = whole.includes(".");
  if (!part) return { kind: isDecimal ? "decimal" : "whole", value: Number(whole) };
  if (isDecimal) throw new Fault(say("{number} is a decimal and takes no fraction", { number: whole }), say("write a decimal or a fraction"));
  return { kind: "fraction", value: Number(whole) + readFraction(part) };
}

function readFraction(text) {
  // Compatibility form: ½ becomes 1⁄2 and ¹¹⁄₁₆ becomes 11⁄16.
  const plain = text.normalize("NFKC").replace("⁄", "/");
  const [over, under] = plain.split("/").map(Number);
  if (under === 0) throw new Fault(say("{fraction} divides by zero", { fraction: plain }), say("write it as in {example}", { example: "1/2" }));
  if (over >= under) throw new Fault(say("{fraction} is not less than one", { fraction: plain }), say("put a space after the whole number, as in 2 1/2"));
  return over / under;
}

function readUnit(token) {
  const unit = UNITS.get(token[0]);
  if (unit) return unit;
  if (token.groups.word) throw new Fault(say("'{unit}' is no unit known here", { unit: token[0] }), say("use one of: {units}", { units: OFFERED.join(", ") }));
  throw new Fault(say("{number} follows a number that has no unit", { number: token[0] }),
    say("give each number its unit; write thousands without a space, as in 1200 mm"));
}

/** Inches. The only two terms that go together are whole feet, then less than 12 inches. */
function joinTerms(terms) {
  for (const { unit, kind } of terms) {
    if (unit.system === "metric" && kind === "fraction") throw new Fault(say("a metric length is a decimal"), say("write it as in {example}", { example: "2.5 m" }));
  }
  terms.slice(1).forEach((second, index) => {
    const first = terms[index];
    const pair = say("'{second}' cannot follow '{first}'", { second: second.unit.symbol, first: first.unit.symbol });
    if (first.unit.system !== second.unit.system) throw new Fault(pair, say("write feet and inches, or metric, not both"));
    if (first.unit !== FOOT || second.unit !== INCH) {
      throw new Fault(pair, say("write feet, then inches; metric with one unit, as in 2.197 m"));
    }
    if (first.kind !== "whole") throw new Fault(say("feet before inches are a whole number"), say("write 7 ft 6 in or 7.5 ft"));
    if (second.value >= FOOT_IN) throw new Fault(say("inches after feet are less than 12"), say("carry them into the feet"));
  });
  return terms.reduce((sum, { value, unit }) => sum + value * unit.inches, 0);
}

/** The nearest sixteenths of an inch, ties to even; what is a 64th but for rounding is that 64th first. */
function countSixteenths(inches) {
  const settled = Math.round(inches * 64);
  const exact = Math.abs(settled / 64 - inches) < 1e-8 ? settled / 4 : inches * 16;
  const low = Math.floor(exact);
  return exact - low === 0.5 ? low + (low % 2) : Math.round(exact);
}

function writeMixed(sixteenths) {
  const whole = Math.floor(sixteenths / 16);
  let [over, under] = [sixteenths % 16, 16];
  for (; over && over % 2 === 0; over /= 2) under /= 2;
  return [whole || !over ? String(whole) : "", over ? `${over}/${under}` : ""].filter(Boolean).join(" ");
}

/** Feet and inches to the nearest sixteenth: "7 ft 2 1/2 in". */
export function writeFeetInches(mm) {
  const all = countSixteenths(mm / INCH_MM);
  const size = Math.abs(all);
  const [feet, rest] = [Math.floor(size / (16 * FOOT_IN)), size % (16 * FOOT_IN)];
  const parts = [...(feet ? [`${feet} ft`] : []), ...(rest || !feet ? [`${writeMixed(rest)} in`] : [])];
  return (all < 0 ? "-" : "") + parts.join(" ");
}

/** As the trade says it: inches alone below 4 ft, feet and inches from there on. */
export function writeTape(mm) {
  const all = countSixteenths(mm / INCH_MM);
  if (Math.abs(all) >= 4 * FOOT_IN * 16) return writeFeetInches(mm);
  return `${all < 0 ? "-" : ""}${writeMixed(Math.abs(all))} in`;
}

const TEMPERATURE = /^(?<number>-?[0-9]{1,3}(?:\.[0-9]{1,3})?) ?(?:deg |°)?(?<unit>[A-Za-z]*)$/;

/** A tape's temperature, deg F; null where nothing is written. Throws a Fault. `coldest` and `hottest` bound it. */
export function readTemperature(text, coldest, hottest) {
  if (!text.trim()) return null;
  const match = TEMPERATURE.exec(text.trim());
  if (!match) throw new Fault(say("'{text}' is not a temperature", { text: text.trim() }), say("write degrees with their unit, such as 85 F or 29 C"));
  const { number, unit } = match.groups;
  if (unit !== "F" && unit !== "C") {
    throw new Fault(unit ? say("'{unit}' is no unit of temperature known here", { unit }) : say("{number} has no unit", { number }),
      offer(`${number} F`, `${number} C`));
  }
  const degrees = unit === "F" ? Number(number) : (Number(number) * 9) / 5 + 32;
  if (degrees < coldest || degrees > hottest) {
    throw new Fault(say("no tape is used at {warmth}", { warmth: `${number} ${unit}` }), say("check the number and unit"));
  }
  return degrees;
}
