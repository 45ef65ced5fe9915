// The ruling on a play: what to rule, say and signal, what it makes of the game, where it stands, and other codes.
import { el, link, statusLine } from "./dom.js";
import { openTable, rule } from "./engine.js";
import { joinWords, say } from "./language.js";
import { findMissingRunner, findNextStates, writeStates } from "./next-state.js";
import { PART_NAMES, askSituation, giveSituation, listUntold } from "./situation.js";
import { startLarge } from "./words.js";

/** Appends the ruling; gives the element to focus. */
export function writeVerdict(root, { rules, play, said, addressOf, change, back, address }) {
  const { row, ruling } = said;
  const headline = el("h2", { class: "verdict", tabindex: "-1" }, ruling.headline, row.doubt ? el("span", { class: "doubt" }, rules.doubt[0]) : "");
  root.append(headline);
  if (row.unsettled) root.append(el("p", { class: "trouble" }, say("Unsettled: {what} Check your league.", { what: row.unsettled })));
  root.append(...writeEnforcement(ruling), writeEffect(ruling));
  if (!row.unsettled) root.append(...writeNext(rules, play, ruling, change));
  if (ruling.see) root.append(link([el("strong", {}, say("Now: {subject}", { subject: rules.subjects[ruling.see].title }))], `#rule/${ruling.see}/${play.code}`, { class: "choice" }));
  root.append(...writeSources(rules, play, row, ruling), ...writeOthers(rules, play, said, addressOf), writeBecause(play, said, addressOf, back));
  return document.getElementById(address.pressed) ?? headline;
}

function writeEnforcement(ruling) {
  const aloud = ruling.say?.length ? el("p", { class: "aloud" }, ...ruling.say.flatMap((words) => [el("q", {}, words), " "])) : null;
  const signal = ruling.signal?.length ? el("ul", {}, ...ruling.signal.map((words) => el("li", {}, startLarge(words)))) : null;
  return [aloud && el("h3", {}, say("Say")), aloud, signal && el("h3", {}, say("Signal")), signal].filter(Boolean);
}

function writeEffect(ruling) {
  const words = ruling["in-words"];
  const parts = [[say("Ball"), words.ball], [say("Batter"), words.batter], [say("Runners"), words.runners], [say("Count"), words.count]];
  return el("dl", { class: "effect" }, ...parts.flatMap(([name, said]) => [el("dt", {}, name), el("dd", {}, said)]));
}

/** Where the game stands next, once it is told where it stood. */
function writeNext(rules, play, ruling, change) {
  const untold = listUntold(play.known);
  const next = statusLine("", { class: "next" });
  if (untold.length) next.textContent = say("Tap {parts} at the pitch to see what comes next.", { parts: joinWords(untold.map((part) => PART_NAMES[part].toLowerCase())) });
  else {
    const situation = giveSituation(play.known);
    const missing = findMissingRunner(situation, ruling);
    if (missing) next.textContent = say("This ruling puts out a {runner}, and none is told: put the runner on base.", { runner: rules.out[missing] });
    else next.append(...writeStates(findNextStates(situation, ruling), rules, rules.codes[play.code].uncaught).map((words) => el("span", {}, words)));
  }
  return [el("h3", {}, say("Where the game stands next")), askSituation(play.known, change), next];
}

function writeSources(rules, play, row, ruling) {
  const where = el("p", {}, row.cites || say("No section is named"), ". ", link(say("The row of the table"), `#${row.address}`));
  const sure = row.doubt ? rules.doubt : say("How sure: {sure}.", { sure: row.sure });
  const notes = [row.note, ruling.note].filter(Boolean).map((note) => el("p", {}, note));
  return [el("h3", {}, say("Where it stands")), where, el("p", {}, sure), ...notes];
}

/** What the other codes rule on the same answers; those that come to the same in effect say so. */
function writeOthers(rules, play, said, addressOf) {
  const others = play.codes.filter((code) => code !== play.code);
  const entries = others.map((code) => {
    const theirs = rule(openTable(rules, code, play.subject), { ...play.answers, ...play.shown });
    const words = theirs.ask ? say("it depends: {ask}", { ask: theirs.ask.ask })
      : theirs.impossible ? joinWords(theirs.impossible)
      : theirs.row.unsettled ? say("unsettled; check your league")
      : `${theirs.ruling.headline}${theirs.row.doubt ? rules.doubt[0] : ""}`;
    const isSame = theirs.ruling && !theirs.row.unsettled && !said.row.unsettled && theirs.ruling.sign === said.ruling.sign;
    return el("li", {}, link([el("strong", {}, `${rules.codes[code].name}: `), isSame ? say("the same") : words], addressOf(play, { code }), { class: isSame ? "choice same" : "choice differs" }));
  });
  return entries.length ? [el("h3", {}, say("By other codes")), el("ul", { class: "choices-list" }, ...entries)] : [];
}

/** The answers that the ruling rests on, each a way back to its question. */
function writeBecause(play, said, addressOf, back) {
  const given = { ...play.answers, ...play.shown };
  const names = [...new Set([...said.because, ...Object.keys(play.answers)])].filter((name) => Object.hasOwn(given, name));
  const without = (name) => Object.fromEntries(Object.entries(play.answers).filter(([other]) => other !== name));
  const steps = names.map((name) => {
    const fact = play.table.facts.find((each) => each.name === name);
    const words = [`${fact.ask} `, el("strong", {}, fact.answers[given[name]])];
    return el("li", {}, ...(Object.hasOwn(play.answers, name) ? [link(words, addressOf(play, { answers: without(name) }))] : words));
  });
  return el("div", { class: "steps" }, el("h3", {}, say("Because")), steps.length ? el("ol", {}, ...steps) : el("p", {}, say("It is so of any play.")),
    el("div", { class: "keys" }, back, link(say("Another play"), "#rule", { class: "key" })));
}
