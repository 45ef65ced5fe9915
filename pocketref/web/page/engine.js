// Rules on a play by a decision table of which every combination of answers meets exactly one row (hit policy unique,
// OMG DMN). Pure functions of the tables that rules_data.py writes; boxes are lists of bit masks, one for each fact.

const openTables = new WeakMap();

/** A code's table on a subject, ready to rule; null if the code has none. */
export function openTable(rules, code, subject) {
  const model = rules.tables[`${code}/${subject}`];
  if (!model) return null;
  if (!openTables.has(model)) openTables.set(model, construct(rules, model, code, subject));
  return openTables.get(model);
}

function construct(rules, model, code, subject) {
  const facts = Object.entries(rules.subjects[subject].facts).map(([name, fact]) => ({ name, ...fact }));
  const table = { code, subject, facts, chart: model.chart };
  table.rows = model.rows.map((row) => ({ ...row, box: enclose(table, row.when), ending: `${row.ruling}${row.unsettled ? "?" : ""}` }));
  table.rulings = Object.fromEntries(model.rows.map((row) => [row.ruling, openRuling(rules, row.ruling)]));
  table.never = (model.never ?? []).map((row) => ({ ...row, box: enclose(table, row.when) }));
  return table;
}

/** A ruling by its place in the list, with its effect. */
export function openRuling(rules, place) {
  const ruling = rules.rulings[place];
  return { ...rules.effects[ruling.effect], ...ruling };
}

/** The combinations that some answers to some facts allow. */
function enclose(table, when) {
  return table.facts.map((fact) => {
    const allowed = Object.hasOwn(when, fact.name) ? [when[fact.name]].flat() : null;
    return Object.keys(fact.answers).reduce((mask, answer, bit) => (!allowed || allowed.includes(answer) ? mask | (1 << bit) : mask), 0);
  });
}

const meet = (one, other) => one.map((mask, place) => mask & other[place]);
const isEmpty = (box) => box.some((mask) => !mask);

/** Whether boxes cover all of a box: what the first leaves of it is cut into boxes, which the others have to cover. */
function isCovered(box, [first, ...others]) {
  if (isEmpty(box)) return true;
  if (!first) return false;
  if (isEmpty(meet(box, first))) return isCovered(box, others);
  const met = [...box];
  return box.every((mask, place) => {
    const rest = met.map((each, at) => (at === place ? mask & ~first[place] : each));
    met[place] &= first[place];
    return isCovered(rest, others);
  });
}

/** The rows that a play may still meet, in the table's order. */
function matchRows(table, answers) {
  const region = enclose(table, answers);
  const never = table.never.map((row) => row.box);
  return table.rows.filter((row) => !isCovered(meet(row.box, region), never));
}

/**
 * What the answers come to: `{row, ruling, because}` once they settle it, `{ask}` with the fact to ask next, or
 * `{impossible}` with the reasons why these answers can't be given together.
 */
export function rule(table, answers) {
  const region = enclose(table, answers);
  if (isCovered(region, table.never.map((row) => row.box))) {
    return { impossible: [...new Set(table.never.filter((row) => !isEmpty(meet(row.box, region))).map((row) => row.reason))] };
  }
  const rows = matchRows(table, answers);
  if (new Set(rows.map((row) => row.ending)).size > 1) return { ask: findQuestion(table, answers) };
  const [row] = rows;
  return { row, ruling: table.rulings[row.ruling], because: followChart(table, answers).asked };
}

/** The questions of the chart that are answered, and the node where that ends. */
function followChart(table, answers) {
  const asked = [];
  let node = table.chart[0];
  while (node && Object.hasOwn(node.to, answers[node.fact] ?? "")) {
    asked.push(node.fact);
    node = table.chart[node.to[answers[node.fact]]];
  }
  return { asked, node };
}

/** The chart's next question; where it asks no more, a fact that can still change the ending. */
function findQuestion(table, answers) {
  const { node } = followChart(table, answers);
  const named = (name) => table.facts.find((fact) => fact.name === name);
  if (node && !Object.hasOwn(answers, node.fact)) return named(node.fact);
  const open = table.facts.filter((fact) => !Object.hasOwn(answers, fact.name));
  const splits = (fact) => new Set(Object.keys(fact.answers).map((answer) =>
    matchRows(table, { ...answers, [fact.name]: answer }).map((row) => row.ending).join())).size > 1;
  return open.find(splits) ?? open[0];
}

/** The answers to a fact that can be given beside the others. */
export function listAnswers(table, fact, answers) {
  const never = table.never.map((row) => row.box);
  return Object.keys(fact.answers).filter((answer) => !isCovered(enclose(table, { ...answers, [fact.name]: answer }), never));
}

// --- where the game stands --------------------------------------------------------------------------------------

export const BASES = ["first", "second", "third"];

/** Every situation that agrees with what is known: `{runners: [bases] or null, outs: 0 to 2 or null, count: "1-2" or null}`. */
function listSituations({ runners, outs, count }) {
  const held = runners ? [runners] : [...Array(8).keys()].map((set) => BASES.filter((_, bit) => set & (1 << bit)));
  const counts = count ? [count] : [0, 1, 2, 3].flatMap((balls) => [0, 1, 2].map((strikes) => `${balls}-${strikes}`));
  return held.flatMap((bases) => (outs === null ? [0, 1, 2] : [outs]).flatMap((out) => counts.map((each) => ({ runners: bases, outs: out, count: each }))));
}

/** The answers to a subject's facts that where the game stands gives, as far as it is known. */
export function answerFromSituation(table, known) {
  const found = {};
  if (known.runners === null && known.outs === null && known.count === null) return found;
  const situations = listSituations(known);
  for (const fact of table.facts.filter((each) => each.situation)) {
    const met = new Set(situations.map((situation) => answerIn(fact, situation)));
    if (met.size === 1) [found[fact.name]] = met;
  }
  return found;
}

function answerIn(fact, situation) {
  const met = Object.keys(fact.situation).find((answer) => fact.situation[answer].some((condition) => holds(condition, situation)));
  return met ?? Object.keys(fact.answers).find((answer) => !Object.hasOwn(fact.situation, answer));
}

function holds(condition, { runners, outs, count }) {
  const [balls, strikes] = count.split("-").map(Number);
  const among = (allowed, value) => !allowed?.length || allowed.includes(value);
  return (condition.occupied ?? []).every((base) => runners.includes(base))
    && !(condition.empty ?? []).some((base) => runners.includes(base))
    && among(condition.outs, outs) && among(condition.balls, balls) && among(condition.strikes, strikes);
}

/** What of the situation a fact hangs on: any of "runners", "outs" and "count". */
export function listNeeded(fact) {
  const keys = Object.values(fact.situation ?? {}).flat().flatMap(Object.keys);
  const needed = { occupied: "runners", empty: "runners", outs: "outs", balls: "count", strikes: "count" };
  return new Set(keys.map((key) => needed[key]));
}
