// Rule on a play: what happened, then a question at a time in the chart's order, then the ruling.
// An address is #rule/contact/high-school?on-plate=yes&game.runners=first,third&game.outs=1; #contact?on-plate=yes does too.
import { data } from "./data.js";
import { el, link, statusLine } from "./dom.js";
import { answerFromSituation, listAnswers, listNeeded, openTable, rule } from "./engine.js";
import { findSubjects } from "./find-subject.js";
import { joinWords, say } from "./language.js";
import { addView, goTo, writeAddress } from "./main.js";
import { addFinder } from "./search.js";
import { askSituation, giveSituation, isSituationPart, readSituation, writeSituation } from "./situation.js";
import { writeVerdict } from "./verdict.js";
import { startLarge } from "./words.js";

const VIEW = "rule";
const rules = data("rules");

/** A play as an address gives it: subject, code, answers by fact, what is known of the situation; and what is wrong. */
function readPlay({ path: [subject, code], query }) {
  if (!Object.hasOwn(rules.subjects, subject)) {
    return { wrong: subject === undefined ? [] : [say("This page has no subject \u2018{subject}\u2019. Choose what happened.", { subject })] };
  }
  const codes = Object.keys(rules.codes).filter((each) => openTable(rules, each, subject));
  const usual = [...rules["in-force"], ...codes].find((each) => codes.includes(each));
  const wrong = [];
  if (code !== undefined && !codes.includes(code)) {
    const name = rules.codes[code]?.name;
    const instead = rules.codes[usual].name;
    wrong.push(name ? say("{code} has no table on this: ruled by {instead}.", { code: name, instead })
      : say("There is no code \u2018{code}\u2019: ruled by {instead}.", { code, instead }));
  }
  const play = { subject, code: codes.includes(code) ? code : usual, codes, answers: {} };
  play.table = openTable(rules, play.code, subject);
  for (const [name, answer] of query) {
    const fact = play.table.facts.find((each) => each.name === name);
    if (isSituationPart(name)) continue;
    if (!fact) wrong.push(say("The link answers \u2018{fact}\u2019, which is not asked here.", { fact: name }));
    else if (!Object.hasOwn(fact.answers, answer)) wrong.push(say("\u2018{answer}\u2019 is no answer to \u201c{ask}\u201d", { answer, ask: fact.ask }));
    else play.answers[name] = answer;
  }
  const situation = readSituation(query);
  play.known = situation.known;
  play.shown = answerFromSituation(play.table, giveSituation(play.known));
  for (const [name, answer] of Object.entries(play.shown)) {
    const fact = play.table.facts.find((each) => each.name === name);
    if (Object.hasOwn(play.answers, name) && play.answers[name] !== answer) {
      wrong.push(say("\u201c{ask}\u201d follows from runners, outs and count: {answer}.", { ask: fact.ask, answer: fact.answers[answer] }));
    }
    delete play.answers[name];
  }
  return { play, wrong: [...wrong, ...situation.wrong] };
}

/** The address of a play with something else in it; `code` of a subject's own is left out of no link. */
function addressOf(play, change = {}) {
  const { subject, code, answers, known } = { ...play, ...change };
  return writeAddress(VIEW, [subject, code], { ...answers, ...writeSituation(known) });
}

function render(root, address) {
  const { play, wrong } = readPlay(address);
  root.append(statusLine(wrong.join(" "), { class: "trouble" }));
  return play ? askOrRule(root, play, address) : chooseSubject(root);
}

// --- what happened -------------------------------------------------------------------------------------------------

function chooseSubject(root) {
  const field = el("input", { type: "search", id: "subject", autocomplete: "off", spellcheck: "false", "aria-controls": "subjects" });
  const list = el("ul", { class: "choices-list", id: "subjects" });
  const found = statusLine();
  const update = () => {
    const entries = findSubjects(rules, field.value);
    found.textContent = entries.length ? "" : say("No subject says that. Try another word, or see all of them without any.");
    list.replaceChildren(...entries.map(({ subject, code, lines }) => el("li", {}, ...lines.map(({ answers, title, words }, number) =>
      link([el("strong", {}, title), words ? el("span", {}, words) : ""], writeAddress(VIEW, [subject, code], answers), { class: `choice${number ? " within" : ""}` })))));
  };
  field.addEventListener("input", update);
  root.append(el("label", { for: "subject" }, say("What happened?")), field, found, list);
  update();
}

// --- a question at a time ------------------------------------------------------------------------------------------

function askOrRule(root, play, address) {
  const said = rule(play.table, { ...play.answers, ...play.shown });
  root.append(el("p", { class: "by" }, say("{code} code", { code: rules.codes[play.code].name })));
  if (said.row) return writeVerdict(root, { rules, play, said, addressOf, change: changeSituation(play), back: writeBack(play), address });
  const focus = said.ask ? ask(root, play, said.ask, address) : refuse(root, play, said.impossible);
  root.append(writeCodes(play));
  return focus;
}

function changeSituation(play) {
  return (known) => goTo(addressOf(play, { known }), { adjusted: true });
}

function ask(root, play, fact, address) {
  const given = { ...play.answers, ...play.shown };
  const question = el("h2", { class: "question", tabindex: "-1" }, fact.ask);
  const choices = listAnswers(play.table, fact, given).map((answer) =>
    link(writeChoice(fact, answer), addressOf(play, { answers: { ...play.answers, [fact.name]: answer } }), { class: "choice" }));
  root.append(question, el("div", { class: "choices-list" }, ...choices));
  const parts = [...listNeeded(fact)].flatMap((part) => (part === "count" ? ["balls", "strikes"] : [part]));
  if (parts.length) {
    root.append(el("p", { class: "hint" }, say("Or tap where the game stood:")), askSituation(play.known, changeSituation(play), parts));
  }
  root.append(writeSteps(play));
  return document.getElementById(address.pressed) ?? (address.isNew ? null : question);
}

function writeChoice(fact, answer) {
  const words = fact.answers[answer];
  const short = answer === "yes" || answer === "no";
  const head = answer === "yes" ? say("Yes") : say("No");
  const isSaid = words.toLowerCase() === head.toLowerCase();
  return short ? [el("strong", {}, head), isSaid ? "" : el("span", {}, words)] : [el("strong", {}, startLarge(words))];
}

/** A step back, to the question before or to what happened. */
function writeBack(play) {
  const names = Object.keys(play.answers);
  if (!names.length) return link(say("Another subject"), `#${VIEW}`, { class: "key" });
  return link(say("Back a step"), addressOf(play, { answers: pick(play.answers, names.slice(0, -1)) }), { class: "key" });
}

/** A step back, and what was answered, each a way back to its question. */
function writeSteps(play) {
  const names = Object.keys(play.answers);
  const steps = names.map((name, number) => {
    const fact = play.table.facts.find((each) => each.name === name);
    const words = [`${fact.ask} `, el("strong", {}, fact.answers[play.answers[name]])];
    return el("li", {}, link(words, addressOf(play, { answers: pick(play.answers, names.slice(0, number)) })));
  });
  return el("div", { class: "steps" }, writeBack(play), steps.length ? el("ol", { "aria-label": say("Answered so far") }, ...steps) : null);
}

function pick(answers, names) {
  return Object.fromEntries(names.map((name) => [name, answers[name]]));
}

function refuse(root, play, reasons) {
  root.append(el("p", { class: "trouble" }, say("These answers can't be given together: {reasons}.", { reasons: joinWords(reasons) })), writeSteps(play));
  return null;
}

/** The codes that rule on the subject; the answers stay. */
function writeCodes(play) {
  if (play.codes.length < 2) return "";
  const keys = play.codes.map((code) => link(rules.codes[code].name, addressOf(play, { code }), { class: "key", "aria-current": code === play.code ? "true" : null }));
  return el("nav", { class: "codes", "aria-label": say("Code") }, el("h2", {}, say("By the code")), el("div", { class: "keys" }, ...keys));
}

/** What a search of the page offers to rule on. */
function findPlays(text) {
  return findSubjects(rules, text).map(({ subject, code, lines }) => {
    const { answers, title, words } = lines.at(lines.length > 1 ? 1 : 0);
    return { title: say("Rule on it: {subject}", { subject: rules.subjects[subject].title }), words: lines.length > 1 ? `${title} ${words}` : words, href: writeAddress(VIEW, [subject, code], answers) };
  });
}

if (rules) {
  addFinder(findPlays);
  const view = {
    name: VIEW, title: say("Rule on a play"), hint: say("Answer a question at a time, and see what to rule, say and signal."), order: 1,
    heading: ({ path }) => rules.subjects[path[0]]?.title,
    render,
  };
  addView(view);
  for (const subject of Object.keys(rules.subjects).filter((name) => !document.getElementById(name) && name !== VIEW)) {
    const full = (address) => ({ ...address, path: [subject, ...address.path] });
    addView({ ...view, name: subject, hint: "", heading: (address) => view.heading(full(address)), render: (root, address) => render(root, full(address)) });
  }
}
