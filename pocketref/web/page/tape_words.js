// A verdict in a crew's sentences: those of `pocketref/tape_report/tape_words.py`, which a test compares.

import { FACTOR, OFFSET } from "./tape_explain.js";
import { writeFeetInches, writeTape } from "./tape_lengths.js";

const COUNTED = { out: "to move", again: "to tape again", few: "not known for lack of pulls", good: "good",
  passes: "good as far as this tape tells" };
const SECOND = "with a second tape, and write it in the blank for the second tape";

const share = (thousandths, more, less) => `${(Math.abs(thousandths) / 10).toFixed(1)} % too ${thousandths > 0 ? more : less}`;

/** How to bring a station to its place that is `off` across and along, mm: "2 1/4 in toward the pitcher". */
export function writeMove(model, [across, along]) {
  const ways = [[-along, "the pitcher", "the backstop"], [-across, "first", "third"]];
  return ways.filter(([mm]) => Math.abs(mm) >= model.leastMoveMm)
    .map(([mm, one, other]) => `${writeFeetInches(Math.abs(mm))} toward ${mm > 0 ? one : other}`).join(", ") || "no move";
}

/** Names in a row; the first of them and how many more where there are many. */
function namePulls(model, names) {
  if (names.length <= model.mostNamed) return names.join(", ");
  return `${names.slice(0, model.mostNamed - 1).join(", ")} and ${names.length - model.mostNamed + 1} more`;
}

/** What is wrong with the readings themselves: before anything else, for nothing is moved by a misread. */
export function sayFaults(report) {
  const { model, tape, secondPull } = report;
  if (!report.isSettled) {
    return ["the readings disagree by more than this tape explains: nothing is judged; "
      + `tape these again first: ${report.worst.join(", ")}`];
  }
  const lines = tape ? [sayTape(tape)] : [];
  if (secondPull) {
    lines.push(`nothing is to be moved yet: tape ${secondPull.from}-${secondPull.to}, ${secondPull.description}, ${SECOND}`);
  }
  if (report.fieldThousandths) lines.push(`the whole field is ${share(report.fieldThousandths, "large", "small")}`);
  const paired = new Set(report.swapped.flat());
  lines.push(...report.swapped.map((pair) => `misread: ${pair.join(" and ")} look swapped; both left out, tape both again`));
  lines.push(...report.misreads.filter(({ name }) => !paired.has(name)).map((misread) => sayMisread(report, misread)));
  for (const { pulls, places } of report.doubts) {
    const which = namePulls(model, pulls);
    const misread = pulls.length > 1 ? `one of ${which} is misread` : `${which} is misread`;
    const off = places.length ? `, or ${places.join(" or ")} is off` : "";
    lines.push(`tape again: ${misread}${off}; the readings can't say which`);
  }
  return lines;
}

function sayTape({ kinds, thousandths, offsetMm, isFieldPerhaps, isProved, isHarmless }) {
  const said = [];
  if (kinds.includes(FACTOR)) said.push(`reads ${share(thousandths, "long", "short")}`);
  if (kinds.includes(OFFSET)) {
    said.push(`reads ${writeTape(Math.abs(offsetMm))} too ${offsetMm > 0 ? "long" : "short"} on every pull (a worn or cut end?)`);
  }
  const tape = said.join(" and ");
  if (isProved) return `check the tape: it ${tape}, the second tape shows; stations are judged without that`;
  const how = kinds.includes(FACTOR) ? share(thousandths, "large", "small") : "with such a tape";
  const other = isFieldPerhaps ? `, or the whole field was set out ${how}` : "";
  return isHarmless ? `the tape ${tape}${other}: within tolerance${other ? " either way" : ""}` : `check the tape: it ${tape}${other}`;
}

/** The slip that makes a reading this share of its target, such as "metres written as feet"; or nothing. */
export function findSlip(model, of) {
  return Object.keys(model.slips).find((name) => Math.abs(of / model.slips[name] - 1) <= model.slipWithin) ?? "";
}

function sayMisread({ model, readings, found }, { name, reading, byMm }) {
  const { mm } = readings[reading];
  const slip = findSlip(model, mm / found.network.target[reading]);
  const way = `${writeTape(Math.abs(byMm))} too ${byMm > 0 ? "long" : "short"}`;
  return `misread: ${name} reads ${writeTape(mm)}, ${way}${slip && " (" + slip + "?)"}; left out, tape it again`;
}

function sayCounts({ list }) {
  const said = Object.entries(COUNTED).map(([verdict, words]) => [list(verdict).length, words]).filter(([count]) => count);
  return said.length ? [said.map(([count, words]) => `${count} ${words}`).join(", ")] : [];
}

/** Home plate; then a line for each shape to move whole and each station that needs something. */
function sayWork(report) {
  const { model, stations, together } = report;
  const lines = sayPlate(report);
  const said = new Set(model.plateMarks);
  for (const [name, { marks, shared }] of together) {
    const each = marks.map((mark) => `${mark} ${writeMove(model, stations.get(mark).off)}`).join("; ");
    lines.push(`${name}, ${marks.join(" ")}: out as a whole, ${shared ? "move it " + writeMove(model, shared) : "corner by corner: " + each}`);
    marks.forEach((mark) => said.add(mark));
  }
  for (const [mark, found] of stations) {
    if (!said.has(mark) && ["out", "again", "few"].includes(found.verdict)) {
      lines.push(`${mark}, ${found.label}: ${sayStation(found, report)}`);
    }
  }
  return lines;
}

/** Whether home plate, from which the rest is judged, is true by its own pulls. */
function sayPlate({ model, plan, readings, stations }) {
  if (plan.stations["1B"]) return [];
  const off = model.plateMarks.map((mark) => stations.get(mark)).filter((found) => found?.farMm);
  if (off.length) {
    const far = off.map(({ mark, farMm }) => `${mark} is ${writeTape(farMm)}`).join(", ");
    return [`home plate is not true: ${far} from where its dimensions put it; see to the plate first`];
  }
  const own = readings.filter(({ from, to }) => model.plateMarks.includes(from) && model.plateMarks.includes(to)).length;
  if (!own) return ["home plate was not taped: it is taken as true, and the rest is judged from it"];
  return [`home plate is true by its ${own > 1 ? own + " own pulls" : "one own pull"}, and the rest is judged from it`];
}

/** What to do about a station, and how sure that is. */
export function sayStation(found, report) {
  const { model, plan, doubts } = report;
  const known = `off about ${writeTape(found.farMm)}, give or take ${writeTape(found.ellipse[0])}; allowed ${writeTape(plan.toleranceMm)}`;
  const pulls = sayPulls(found, report);
  if (found.verdict === "out") return `move it ${writeMove(model, found.off)} (${known})`;
  if (found.verdict === "few") return `too few pulls fix it${pulls && "; " + pulls}`;
  if (!pulls) return `not moved yet (${known})`;
  const isClose = !doubts.some((doubt) => found.pulls.every((name) => doubt.pulls.includes(name)));
  return isClose ? `${pulls} (${known})` : pulls;
}

/** What to tape for a station: again, or for the first time. */
function sayPulls({ pulls }, { model, readings }) {
  const taped = new Set(readings.flatMap(({ from, to }) => [`${from}-${to}`, `${to}-${from}`]));
  const again = pulls.filter((name) => taped.has(name));
  const more = pulls.filter((name) => !taped.has(name));
  return [...(again.length ? [`tape ${namePulls(model, again)} again`] : []),
    ...(more.length ? [`tape ${namePulls(model, more)} too`] : [])].join(", ");
}

function sayLeave({ list, stations }) {
  const [good, passed] = [list("good"), list("passes")];
  const worst = Math.max(...passed.map((mark) => stations.get(mark).ellipse[0]));
  return [...(good.length ? [`leave: ${good.join(" ")}`] : []),
    ...(passed.length ? [`leave, as far as this tape tells: ${passed.join(" ")} (known to ${writeTape(worst)} or better, 19 times of 20)`] : [])];
}

/** All of it, in the order in which a crew needs it. */
export function sayAll(report) {
  const judged = report.isSettled ? [...sayCounts(report), ...sayWork(report), ...sayLeave(report)] : [];
  const { untaped, model } = report;
  return [...sayFaults(report), ...judged,
    ...(untaped.length ? [`not taped, of those the sheet asks for: ${namePulls(model, untaped)}`] : [])];
}
