// Rules on plays with the page's own modules and prints what they say, as JSON.
//   node check_rules.mjs MODULES RULES.json ASKED.json
// MODULES is the folder of the page's modules, RULES.json the data that the page holds. ASKED.json has `plays`, a list of
// [table, answers], `states`, a list of [code, ruling's place, situation], and `shown`, a list of [table, what is known].
import { readFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { pathToFileURL } from "node:url";

const [modules, rulesFile, askedFile] = process.argv.slice(2);
const load = (name) => import(pathToFileURL(join(resolve(modules), name)).href);
const { answerFromSituation, openRuling, openTable, rule } = await load("engine.js");
const { findMissingRunner, findNextStates, writeStates } = await load("next-state.js");
const rules = JSON.parse(readFileSync(rulesFile, "utf8"));
const asked = JSON.parse(readFileSync(askedFile, "utf8"));
const open = (name) => openTable(rules, ...name.split("/"));

function answer([name, answers]) {
  const { row, ruling, because, ask, impossible } = rule(open(name), answers);
  return { row: open(name).rows.indexOf(row), address: row?.address, headline: ruling?.headline, because, ask: ask?.name, impossible };
}

/** The way to the ruling when each question of the page is answered as it comes. */
function walk([name, answers]) {
  const given = {};
  for (;;) {
    const said = rule(open(name), given);
    if (!said.ask) return { row: open(name).rows.indexOf(said.row), asked: Object.keys(given) };
    given[said.ask.name] = answers[said.ask.name];
  }
}

function stand([code, place, situation]) {
  const ruling = openRuling(rules, place);
  const missing = findMissingRunner(situation, ruling);
  if (missing) return { missing };
  const states = findNextStates(situation, ruling);
  return { states, words: writeStates(states, rules, rules.codes[code].uncaught) };
}

process.stdout.write(JSON.stringify({
  plays: asked.plays.map(answer),
  walks: asked.plays.map(walk),
  states: asked.states.map(stand),
  shown: asked.shown.map(([name, known]) => answerFromSituation(open(name), known)),
}));
