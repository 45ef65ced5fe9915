// Answers every play with the page's own modules and prints what they say, as JSON.
//   node check_plays.mjs MODULES PLAYS.json
import { readFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { pathToFileURL } from "node:url";

const [modules, playsFile] = process.argv.slice(2);
const { chooseNext, readSheet, scoreOf, writeAnswerSheet } = await import(pathToFileURL(join(resolve(modules), "plays.js")).href);
const given = JSON.parse(readFileSync(playsFile, "utf8"));

/** Answer as `choose` says, play after play, as the page asks them; the order, and the answers at the end. */
function answer(sheet, choose, answers = {}) {
  const order = [];
  for (;;) {
    const next = chooseNext(sheet.plays, answers, (play) => order.includes(play.number));
    if (!next) return { order, answers };
    order.push(next.number);
    const letter = choose(next);
    answers[next.id] = { first: answers[next.id]?.first ?? letter, last: letter };
  }
}

process.stdout.write(JSON.stringify(given.sheets.map((found) => {
  const sheet = readSheet(given, found);
  const wrong = (play) => play.choices.find(({ letter }) => letter !== play.right).letter;
  const odd = answer(sheet, (play) => (play.number % 2 ? wrong(play) : play.right));
  const before = scoreOf(sheet.plays, odd.answers);
  const again = answer(sheet, (play) => play.right, structuredClone(odd.answers));
  const begun = Object.fromEntries(sheet.plays.slice(-2).map((play) => [play.id, { first: wrong(play), last: wrong(play) }]));
  return {
    name: sheet.name,
    plays: sheet.plays.map(({ id, right, choices, key }) => ({ id, right, choices, key })),
    odd: odd.order, before, again: again.order, after: scoreOf(sheet.plays, again.answers),
    missed_first: answer(sheet, (play) => play.right, begun).order,
    csv: writeAnswerSheet({ name: '  Robin "R" Vale, Jr. ', number: " 7001 " }, sheet, again.answers),
    blank: writeAnswerSheet({ name: "Robin" }, sheet, {}),
  };
})));
