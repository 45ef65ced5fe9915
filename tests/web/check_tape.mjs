// Judges readings with the page's own modules and prints what they say, as JSON.
//   node check_tape.mjs MODULES TAPE.json ASKED.json
// MODULES is the folder of the page's modules, TAPE.json the data that the page holds. ASKED.json may have `typed`, a list
// of sheets as typed in, `unsure` another, judged without a limit, `texts`, a list of [text, target in mm], `temperatures`, and `lengths` in mm.
import { readFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { pathToFileURL } from "node:url";

const [modules, tapeFile, askedFile] = process.argv.slice(2);
const load = (name) => import(pathToFileURL(join(resolve(modules), name)).href);
const { judgePull, judgeTemperature, judgeTyped, openModel, writeCsv } = await load("tape_model.js");
const { Fault, readLength, writeTape } = await load("tape_lengths.js");
const { sayAll, writeMove } = await load("tape_words.js");
const model = openModel(JSON.parse(readFileSync(tapeFile, "utf8")));
const asked = JSON.parse(readFileSync(askedFile, "utf8"));

function judge(typed) {
  const { report, refused, isDesk = false } = judgeTyped(model, typed);
  if (!report) return { refused, isDesk };
  const moves = report.list("out").map((mark) => [mark, writeMove(model, report.stations.get(mark).off)]);
  return {
    moves: Object.fromEntries(moves), misreads: report.misreads.map(({ name }) => name), tape: report.tape !== null,
    verdicts: Object.fromEntries([...report.stations].map(([mark, { verdict }]) => [mark, verdict])), lines: sayAll(report),
  };
}

function read([text, nearMm]) {
  try {
    return { mm: readLength(text, nearMm) };
  } catch (error) {
    if (!(error instanceof Fault)) throw error;
    return { sentence: error.sentence, hint: error.hint };
  }
}

process.stdout.write(JSON.stringify({
  judged: (asked.typed ?? []).map(judge),
  // With a limit that is no number nothing can be compared, as where rounding decides.
  unsure: (asked.unsure ?? []).map((typed) => judgeTyped({ ...model, loose: NaN }, typed)),
  files: (asked.typed ?? []).map((typed) => (asked.files ? writeCsv(model, typed) : "")),
  read: (asked.texts ?? []).map(read),
  pulls: (asked.texts ?? []).map(([text, targetMm]) => judgePull(model, { targetMm, limitMm: 3 }, text)),
  temperatures: (asked.temperatures ?? []).map((text) => judgeTemperature(model, text)),
  written: (asked.lengths ?? []).map(writeTape),
}));
