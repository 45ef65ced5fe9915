// A verdict in a crew's sentences: those of `pocketref/tape_report/tape_words.py`, which a test compares.

import { joinChoices, joinWords, say, sayCount } from "./language.js";
import { FACTOR, OFFSET } from "./tape_explain.js";
import { writeFeetInches, writeTape } from "./tape_lengths.js";

const share = (thousandths) => (Math.abs(thousandths) / 10).toFixed(1);

/** How to bring a station to its place that is `off` across and along, mm: "2 1/4 in toward the pitcher". */
export function writeMove(model, [across, along]) {
  const parts = [];
  if (Math.abs(along) >= model.leastMoveMm) {
    const far = writeFeetInches(Math.abs(along));
    parts.push(along < 0 ? say("{far} toward the pitcher", { far }) : say("{far} toward the backstop", { far }));
  }
  if (Math.abs(across) >= model.leastMoveMm) {
    const far = writeFeetInches(Math.abs(across));
    parts.push(across < 0 ? say("{far} toward first", { far }) : say("{far} toward third", { far }));
  }
  return parts.join(", ") || say("no move");
}

/** Names in a row; the first of them and how many more where there are many. */
function namePulls(model, names) {
  if (names.length <= model.mostNamed) return names.join(", ");
  const pulls = names.slice(0, model.mostNamed - 1).join(", ");
  return say("{pulls} and {count} more", { pulls, count: names.length - model.mostNamed + 1 });
}

/** What is wrong with the readings themselves: before anything else, for nothing is moved by a misread. */
export function sayFaults(report) {
  const { model, tape, secondPull } = report;
  if (!report.isSettled) {
    return [say("the readings disagree by more than this tape explains: nothing is judged; tape these again first: {pulls}", { pulls: report.worst.join(", ") })];
  }
  const lines = tape ? [sayTape(tape)] : [];
  if (secondPull) {
    const second = { pull: `${secondPull.from}-${secondPull.to}`, along: secondPull.description };
    lines.push(say("nothing is to be moved yet: tape {pull}, {along}, with a second tape, and write it in the blank for the second tape", second));
  }
  if (report.fieldThousandths) {
    const told = { share: share(report.fieldThousandths) };
    lines.push(report.fieldThousandths > 0 ? say("the whole field is {share} % too large", told) : say("the whole field is {share} % too small", told));
  }
  const paired = new Set(report.swapped.flat());
  lines.push(...report.swapped.map((pair) => say("misread: {pulls} look swapped; both left out, tape both again", { pulls: joinWords(pair) })));
  lines.push(...report.misreads.filter(({ name }) => !paired.has(name)).map((misread) => sayMisread(report, misread)));
  return [...lines, ...report.doubts.map((doubt) => sayDoubt(model, doubt))];
}

function sayDoubt(model, { pulls, places }) {
  const told = { pulls: namePulls(model, pulls), places: joinChoices(places) };
  if (pulls.length > 1 && places.length) return say("tape again: one of {pulls} is misread, or {places} is off; the readings can't say which", told);
  if (places.length) return say("tape again: {pulls} is misread, or {places} is off; the readings can't say which", told);
  if (pulls.length > 1) return say("tape again: one of {pulls} is misread; the readings can't say which", told);
  return say("tape again: {pulls} is misread; the readings can't say which", told);
}

function sayTape({ kinds, thousandths, offsetMm, isFieldPerhaps, isProved, isHarmless }) {
  const said = [];
  const [told, isLong] = [{ share: share(thousandths) }, thousandths > 0];
  let field = say("was set out with such a tape");
  if (kinds.includes(FACTOR)) {
    said.push(isLong ? say("reads {share} % too long", told) : say("reads {share} % too short", told));
    field = isLong ? say("was set out {share} % too large", told) : say("was set out {share} % too small", told);
  }
  if (kinds.includes(OFFSET)) {
    const far = writeTape(Math.abs(offsetMm));
    said.push(offsetMm > 0 ? say("reads {far} too long on every pull (a worn or cut end?)", { far })
      : say("reads {far} too short on every pull (a worn or cut end?)", { far }));
  }
  const reads = joinWords(said);
  if (isProved) return say("check the tape: it {reads}, the second tape shows; stations are judged without that", { reads });
  if (isHarmless && isFieldPerhaps) return say("the tape {reads}, or the whole field {field}: within tolerance either way", { reads, field });
  if (isHarmless) return say("the tape {reads}: within tolerance", { reads });
  if (isFieldPerhaps) return say("check the tape: it {reads}, or the whole field {field}", { reads, field });
  return say("check the tape: it {reads}", { reads });
}

/** The slip that makes a reading this share of its target, such as "metres written as feet"; or nothing. */
export function findSlip(model, of) {
  return Object.keys(model.slips).find((name) => Math.abs(of / model.slips[name] - 1) <= model.slipWithin) ?? "";
}

function sayMisread({ model, readings, found }, { name, reading, byMm }) {
  const { mm } = readings[reading];
  const slip = findSlip(model, mm / found.network.target[reading]);
  const guess = slip && ` ${say("({slip}?)", { slip: model.slipNames[slip] })}`;
  const told = { pull: name, read: writeTape(mm), far: writeTape(Math.abs(byMm)), guess };
  return byMm > 0 ? say("misread: {pull} reads {read}, {far} too long{guess}; left out, tape it again", told)
    : say("misread: {pull} reads {read}, {far} too short{guess}; left out, tape it again", told);
}

function sayCounts({ list }) {
  const [out, again, few, good, passes] = ["out", "again", "few", "good", "passes"].map((verdict) => list(verdict).length);
  const said = [
    out && say("{count} to move", { count: out }),
    again && say("{count} to tape again", { count: again }),
    few && say("{count} not known for lack of pulls", { count: few }),
    good && say("{count} good", { count: good }),
    passes && say("{count} good as far as this tape tells", { count: passes }),
  ].filter(Boolean);
  return said.length ? [said.join(", ")] : [];
}

/** Home plate; then a line for each shape to move whole and each station that needs something. */
function sayWork(report) {
  const { model, stations, together } = report;
  const lines = sayPlate(report);
  const said = new Set(model.plateMarks);
  for (const [name, { marks, shared }] of together) {
    const each = marks.map((mark) => `${mark} ${writeMove(model, stations.get(mark).off)}`).join("; ");
    const told = { shape: model.shapeWords[name], marks: marks.join(" "), move: shared ? writeMove(model, shared) : each };
    lines.push(shared ? say("{shape}, {marks}: out as a whole, move it {move}", told)
      : say("{shape}, {marks}: out as a whole, corner by corner: {move}", told));
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
    const corners = off.map(({ mark, farMm }) => say("{mark} is {far}", { mark, far: writeTape(farMm) })).join(", ");
    return [say("home plate is not true: {corners} from where its dimensions put it; see to the plate first", { corners })];
  }
  const own = readings.filter(({ from, to }) => model.plateMarks.includes(from) && model.plateMarks.includes(to)).length;
  if (!own) return [say("home plate was not taped: it is taken as true, and the rest is judged from it")];
  return [sayCount(own, "home plate is true by its one own pull, and the rest is judged from it",
    "home plate is true by its {count} own pulls, and the rest is judged from it")];
}

/** What to do about a station, and how sure that is. */
export function sayStation(found, report) {
  const { model, plan, doubts } = report;
  const known = say("off about {off}, give or take {sure}; allowed {allowed}",
    { off: writeTape(found.farMm), sure: writeTape(found.ellipse[0]), allowed: writeTape(plan.toleranceMm) });
  const pulls = sayPulls(found, report);
  if (found.verdict === "out") return say("move it {move} ({known})", { move: writeMove(model, found.off), known });
  if (found.verdict === "few") return [say("too few pulls fix it"), pulls].filter(Boolean).join("; ");
  if (!pulls) return say("not moved yet ({known})", { known });
  const isClose = !doubts.some((doubt) => found.pulls.every((name) => doubt.pulls.includes(name)));
  return isClose ? `${pulls} (${known})` : pulls;
}

/** What to tape for a station: again, or for the first time. */
function sayPulls({ pulls }, { model, readings }) {
  const taped = new Set(readings.flatMap(({ from, to }) => [`${from}-${to}`, `${to}-${from}`]));
  const again = pulls.filter((name) => taped.has(name));
  const more = pulls.filter((name) => !taped.has(name));
  return [...(again.length ? [say("tape {pulls} again", { pulls: namePulls(model, again) })] : []),
    ...(more.length ? [say("tape {pulls} too", { pulls: namePulls(model, more) })] : [])].join(", ");
}

function sayLeave({ list, stations }) {
  const [good, passed] = [list("good"), list("passes")];
  const worst = Math.max(...passed.map((mark) => stations.get(mark).ellipse[0]));
  const known = { marks: passed.join(" "), far: writeTape(worst) };
  return [...(good.length ? [say("leave: {marks}", { marks: good.join(" ") })] : []),
    ...(passed.length ? [say("leave, as far as this tape tells: {marks} (known to {far} or better, 19 times of 20)", known)] : [])];
}

/** All of it, in the order in which a crew needs it. */
export function sayAll(report) {
  const judged = report.isSettled ? [...sayCounts(report), ...sayWork(report), ...sayLeave(report)] : [];
  const { untaped, model } = report;
  return [...sayFaults(report), ...judged,
    ...(untaped.length ? [say("not taped, of those the sheet asks for: {pulls}", { pulls: namePulls(model, untaped) })] : [])];
}
