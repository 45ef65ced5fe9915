// Lengths as a crew writes them, read by the same rules as `pocketref/units/notation.py` and written as it writes them.

export const INCH_MM = 25.4;
const FOOT_IN = 12;
const LONGEST_TEXT = 80;
const GREATEST_MM = 1e7;
const EXAMPLE = "write it as in 7 ft 2 1/2 in";

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
    throw new Fault(`${[...text].length} characters are no length`, "write only the length, such as 7 ft 2 1/2 in");
  }
  const tokens = splitTokens(text);
  if (tokens[0]?.groups.sign) {
    throw new Fault(`a length here has no sign, but this one starts with '${tokens[0][0]}'`, "leave the sign out");
  }
  const mm = joinTerms(readTerms(text, tokens, nearMm)) * INCH_MM;
  if (mm > GREATEST_MM) throw new Fault("a length here is at most 10 km", "check the unit");
  if (mm === 0) throw new Fault("a length here is more than zero", "check the figure and its unit");
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
    throw new Fault("a comma may mean decimals or thousands",
      "write decimals with a point, as in 8.5 in, and thousands without a mark, as in 1200 mm");
  }
  if (letter === ".") {
    throw new Fault("a decimal point stands once, between digits", "write 0.5 in, not .5 in; units take no full stop");
  }
  if ("/⁄".includes(letter)) {
    throw new Fault("a fraction is two whole numbers with a slash between them and no spaces", "write it as in 2 1/2 in");
  }
  throw new Fault(`'${letter}' has no place in a length`, "write it as in 7 ft 2 1/2 in or 2.197 m");
}

/** Numbers each followed by a unit, at least one. */
function readTerms(text, tokens, nearMm) {
  if (!tokens.length) throw new Fault("a length is missing", EXAMPLE);
  const terms = [];
  for (let at = 0; at < tokens.length; at += 2) {
    const number = readNumber(tokens[at]);
    const unit = tokens[at + 1];
    if (!unit) {
      const said = tokens[at][0];
      const isAfterFeet = terms.at(-1)?.unit === FOOT;
      const hint = terms.length ? `write ${said}${isAfterFeet ? "" : " ft or " + said} in` : offerUnits(number, said, nearMm);
      throw new Fault(`${said} has no unit`, hint);
    }
    if (unit.groups.sign) refuseJoiner(text, unit[0]);
    terms.push({ ...number, unit: readUnit(unit) });
  }
  return terms;
}

/** The lengths that a number without a unit may stand for; metric ones take no fraction. */
function offerUnits({ kind, value }, said, nearMm) {
  if (kind === "fraction") return `write ${said} ft or ${said} in`;
  if (!value || !nearMm) return `write ${said} ft or ${said} in, or ${said} mm or ${said} m`;
  const off = (word) => Math.abs(Math.log((value * UNITS.get(word).inches * INCH_MM) / nearMm));
  const [first, second, third] = [...OFFERED].sort((a, b) => off(a) - off(b)).map((word) => `${said} ${word}`);
  return `write ${first}, ${second} or ${third}: the first is nearest the target`;
}

/** A hyphen after a number: feet, inches and a fraction run together, or a fraction with spaces around it. */
function refuseJoiner(text, sign) {
  const joined = JOINED.exec(text.trim());
  const isLength = joined && Number(joined[2]) < FOOT_IN;
  const inches = isLength && [joined[2], joined[3]].filter(Boolean).join(" ");
  throw new Fault(`'${sign}' stands where a unit belongs`,
    isLength ? `write ${joined[1]} ft ${inches} in` : "join a fraction as in 8-1/2 in");
}

function readNumber(token) {
  const { number, alone, whole, part } = token.groups;
  if (!number) throw new Fault(`a number belongs here, not '${token[0]}'`, EXAMPLE);
  if (alone) return { kind: "fraction", value: readFraction(alone) };
  const isDecimal = whole.includes(".");
  if (!part) return { kind: isDecimal ? "decimal" : "whole", value: Number(whole) };
  if (isDecimal) throw new Fault(`${whole} is a decimal and takes no fraction`, "write a decimal or a fraction");
  return { kind: "fraction", value: Number(whole) + readFraction(part) };
}

function readFraction(text) {
  // Compatibility form: ½ becomes 1⁄2 and ¹¹⁄₁₆ becomes 11⁄16.
  const plain = text.normalize("NFKC").replace("⁄", "/");
  const [over, under] = plain.split("/").map(Number);
  if (under === 0) throw new Fault(`${plain} divides by zero`, "write it as in 1/2");
  if (over >= under) throw new Fault(`${plain} is not less than one`, "put a space after the whole number, as in 2 1/2");
  return over / under;
}

function readUnit(token) {
  const unit = UNITS.get(token[0]);
  if (unit) return unit;
  if (token.groups.word) throw new Fault(`'${token[0]}' is no unit known here`, `use one of: ${OFFERED.join(", ")}`);
  throw new Fault(`${token[0]} follows a number that has no unit`,
    "give each number its unit; write thousands without a space, as in 1200 mm");
}

/** Inches. The only two terms that go together are whole feet, then less than 12 inches. */
function joinTerms(terms) {
  for (const { unit, kind } of terms) {
    if (unit.system === "metric" && kind === "fraction") throw new Fault("a metric length is a decimal", "write it as in 2.5 m");
  }
  terms.slice(1).forEach((second, index) => {
    const first = terms[index];
    const pair = `'${second.unit.symbol}' cannot follow '${first.unit.symbol}'`;
    if (first.unit.system !== second.unit.system) throw new Fault(pair, "write feet and inches, or metric, not both");
    if (first.unit !== FOOT || second.unit !== INCH) {
      throw new Fault(pair, "write feet, then inches; metric with one unit, as in 2.197 m");
    }
    if (first.kind !== "whole") throw new Fault("feet before inches are a whole number", "write 7 ft 6 in or 7.5 ft");
    if (second.value >= FOOT_IN) throw new Fault("inches after feet are less than 12", "carry them into the feet");
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
  if (!match) throw new Fault(`'${text.trim()}' is not a temperature`, "write degrees with their unit, such as 85 F or 29 C");
  const { number, unit } = match.groups;
  if (unit !== "F" && unit !== "C") {
    throw new Fault(unit ? `'${unit}' is no unit of temperature known here` : `${number} has no unit`,
      `write ${number} F or ${number} C`);
  }
  const degrees = unit === "F" ? Number(number) : (Number(number) * 9) / 5 + 32;
  if (degrees < coldest || degrees > hottest) {
    throw new Fault(`no tape is used at ${number} ${unit}`, "check the number and unit");
  }
  return degrees;
}
