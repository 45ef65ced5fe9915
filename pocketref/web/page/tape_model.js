// What is typed into a sheet, judged pull by pull and then as a field; the same as the CSV that `pocketref tape` reads.
// Typed is {level, plan, tape, temperature, readings: {"A-F1": text}, second: {"A-F1": text}}.

import { Fault, INCH_MM, nameUnit, readLength, readTemperature, writeTape } from "./tape_lengths.js";
import { say } from "./language.js";
import { Untold } from "./tape_network.js";
import { judgeTape } from "./tape_verdicts.js";
import { findSlip } from "./tape_words.js";

const FAR_OFF = 1.5;
export const DESK = say("The page can't tell: save the readings as a file and run it through pocketref tape.");

export const nameOf = ({ from, to }) => `${from}-${to}`;

/** A model as the page carries it, its pulls as objects and their numbers on the sheet as these. */
export function openModel(model) {
  for (const plan of Object.values(model.levels).flatMap(({ plans }) => Object.values(plans))) {
    plan.pulls = plan.pulls.map(([from, to, description, targetMm, limitMm, ...graduationMm]) => (
      { from, to, description, targetMm, limitMm, graduationMm }));
    for (const part of ["must", "more"]) plan[part] = plan[part].map((at) => plan.pulls[at]);
  }
  return model;
}

/** The plan's pulls as a crew walks them: those of the sheet, then the rest. */
export const listPulls = ({ must, more, pulls }) => [...new Set([...must, ...more, ...pulls])];

/** One reading against its target: {state: "empty" | "fault" | "true" | "off", words, mm}. */
export function judgePull(model, pull, text) {
  if (!text.trim()) return { state: "empty", words: "" };
  try {
    const mm = readLength(text, pull.targetMm);
    return { mm, ...comparePull(model, pull, mm, nameUnit(text)) };
  } catch (error) {
    if (!(error instanceof Fault)) throw error;
    return { state: "fault", words: `${error.sentence}: ${error.hint}` };
  }
}

function comparePull(model, { targetMm, limitMm }, mm, unit) {
  const off = mm - targetMm;
  const isLong = off > 0;
  const share = mm / targetMm;
  const slip = findSlip(model, share);
  const isOfUnit = slip.endsWith(` as ${unit}`);
  const [far, target] = [writeTape(Math.abs(off)), writeTape(targetMm)];
  if (Math.abs(off) > limitMm && (isOfUnit || Math.max(share, 1 / share) > FAR_OFF)) {
    const what = isOfUnit ? say("{slip}?", { slip: model.slipNames[slip] }) : say("check the figure and its unit");
    const words = isLong ? say("far too long, it should be about {target}: {what}", { target, what }) : say("far too short, it should be about {target}: {what}", { target, what });
    return { state: "off", words };
  }
  if (Math.abs(off) > limitMm + 1e-6) {
    const limit = writeTape(limitMm);
    return { state: "off", words: isLong ? say("{far} too long, beyond \u00b1 {limit}", { far, limit }) : say("{far} too short, beyond \u00b1 {limit}", { far, limit }) };
  }
  const isExact = Math.abs(off) < INCH_MM / 16 / 2;
  return { state: "true", words: isExact ? say("true") : isLong ? say("true, {far} long", { far }) : say("true, {far} short", { far }) };
}

/** The readings in the order of the sheet, first tape's and second's; what can't be read is left out. */
export function listReadings(model, plan, typed) {
  return listPulls(plan).flatMap((pull) => [[typed.readings, false], [typed.second, true]].flatMap(([texts, isSecond]) => {
    const { mm } = judgePull(model, pull, texts?.[nameOf(pull)] ?? "");
    return mm === undefined ? [] : [{ from: pull.from, to: pull.to, mm, isSecond }];
  }));
}

/** The temperature typed: {value, words}; words say what is wrong with it. */
export function judgeTemperature(model, text) {
  try {
    return { value: readTemperature(text ?? "", model.coldestF, model.hottestF), words: "" };
  } catch (error) {
    if (!(error instanceof Fault)) throw error;
    return { value: null, words: `${error.sentence}: ${error.hint}` };
  }
}

/** The field's verdict: {report} or {refused: words}, where nothing can be judged or the desk must. */
export function judgeTyped(model, typed) {
  const plan = model.levels[typed.level].plans[typed.plan];
  const readings = listReadings(model, plan, typed);
  if (!readings.length) return { refused: say("No reading yet: type what the tape says, with its unit.") };
  const slip = refuseSlip(model, plan, readings);
  if (slip) return { refused: slip };
  try {
    return { report: judgeTape(model, plan, readings, typed.tape, judgeTemperature(model, typed.temperature).value) };
  } catch (error) {
    if (!(error instanceof Untold)) throw error;
    return { refused: DESK, isDesk: true };
  }
}

/** Words where nearly all readings are off by one factor, as between two units; else nothing. */
function refuseSlip(model, plan, readings) {
  const target = new Map(plan.pulls.map((pull) => [nameOf(pull), pull.targetMm]));
  const shares = readings.map((reading) => reading.mm / target.get(nameOf(reading)));
  const sorted = [...shares].sort((a, b) => a - b);
  const middle = (sorted[Math.floor((sorted.length - 1) / 2)] + sorted[Math.floor(sorted.length / 2)]) / 2;
  const slip = findSlip(model, middle);
  const alike = slip ? shares.filter((share) => Math.abs(share / model.slips[slip] - 1) <= model.slipWithin).length : 0;
  if (shares.length < model.slipFewest || alike < model.slipNearlyAll * shares.length) return "";
  const factor = Number(model.slips[slip].toPrecision(3));
  const told = { alike, all: shares.length, factor, slip: model.slipNames[slip] };
  return say("nearly all readings ({alike} of {all}) are {factor} of their targets: {slip}? write the unit that the tape shows beside every reading; until then nothing is judged", told);
}

const quote = (text) => (/[",\n\r;\t]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text);

/** The file that `pocketref tape` reads. */
export function writeCsv(model, typed) {
  const plan = model.levels[typed.level].plans[typed.plan];
  const settings = [["level", typed.level], ["plan", typed.plan], ["tape", typed.tape],
    ...(typed.temperature?.trim() ? [["temperature", typed.temperature.trim()]] : [])];
  const rows = listPulls(plan).flatMap((pull) => [[typed.readings, ""], [typed.second, "second"]].flatMap(([texts, tape]) => {
    const text = texts?.[nameOf(pull)]?.trim();
    return text ? [[pull.from, pull.to, text, tape]] : [];
  }));
  return [...settings, ["from", "to", "reading", "tape"], ...rows].map((row) => `${row.map(quote).join(",")}\n`).join("");
}
