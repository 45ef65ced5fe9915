// Case plays: a sheet's plays one by one, each told right or wrong at once, with what the key says of it.
// An address is #play/weekly-01/3?answer=B: the sheet, the number of the play on it, and the letter that was chosen.
import { data, saveFile } from "./data.js";
import { bold, button, el, link, statusLine } from "./dom.js";
import { say, sayCount } from "./language.js";
import { addView, goTo, writeAddress } from "./main.js";
import { drawBases, drawPicture } from "./play-picture.js";
import { canKeep, keep, notice, recall } from "./store.js";

const PLAY = "play";
const LETTERS = "ABCD";
const NOT_ANSWERED = "-";
const training = data("plays");
/** What was asked since the sheet was opened: a miss comes again the next time, not at once. */
const lately = new Set();

// --- a sheet and what was answered ----------------------------------------------------------------------------------

/** The plays of a sheet as they are lettered on it. */
export function readSheet(given, sheet) {
  const plays = sheet.asked.map(([place, order], number) => {
    const play = Object.fromEntries(Object.entries(given.plays).map(([name, column]) => [name, column[place]]));
    return {
      ...play, number: number + 1, right: LETTERS[order.indexOf(0)],
      choices: order.map((choice, at) => ({ letter: LETTERS[at], words: play.choices[choice], reason: play.reasons[choice] })),
    };
  });
  return { ...sheet, plays };
}

/** What is known of a play: `first` and `last` are letters; of another edition's plays nothing is. */
function recallAnswers(sheet) {
  const kept = recall(keyOf(sheet), {});
  const known = kept && typeof kept === "object" ? kept : {};
  return Object.fromEntries(sheet.plays.filter(({ id }) => isAnswer(known[id])).map(({ id }) => [id, known[id]]));
}

function isAnswer(value) {
  return LETTERS.includes(value?.first ?? NOT_ANSWERED) && LETTERS.includes(value?.last ?? NOT_ANSWERED);
}

function keyOf(sheet) {
  return `plays:${training.edition}:${sheet.name}`;
}

function record(sheet, play, letter) {
  const known = recallAnswers(sheet);
  keep(keyOf(sheet), { ...known, [play.id]: { first: known[play.id]?.first ?? letter, last: letter } });
  lately.add(`${sheet.name}/${play.id}`);
}

/** The next play to ask: those missed before, then those not asked yet; null once all are right or were asked just now. */
export function chooseNext(plays, answers, wasAsked = () => false) {
  const open = plays.filter((play) => answers[play.id]?.last !== play.right && !wasAsked(play));
  return open.find((play) => answers[play.id]) ?? open[0] ?? null;
}

function nextOf(sheet, shown = null) {
  return chooseNext(sheet.plays, recallAnswers(sheet), (play) => play === shown || lately.has(`${sheet.name}/${play.id}`));
}

export function scoreOf(plays, answers) {
  const given = plays.filter(({ id }) => answers[id]);
  return { answered: given.length, right: given.filter((play) => answers[play.id].last === play.right).length };
}

/** The answer sheet as CSV (RFC 4180): who answers, to which choices, and the letters first chosen in the order of the plays; "-" where none was. */
export function writeAnswerSheet({ name, number = "" }, sheet, answers) {
  const letters = sheet.plays.map(({ id }) => answers[id]?.first ?? NOT_ANSWERED).join("");
  const cells = [name, number, sheet.name, sheet.choices, letters].map((cell) => cell.trim().replace(/\s+/g, " "));
  const quoted = cells.map((cell) => (/[",]/.test(cell) ? `"${cell.replaceAll('"', '""')}"` : cell));
  return `name,number,sheet,choices,answers\r\n${quoted.join(",")}\r\n`;
}

// --- the views ------------------------------------------------------------------------------------------------------

function render(root, { path: [name, number], query, isNew }) {
  const found = training.sheets.find((sheet) => sheet.name === name);
  if (!found) return chooseSheet(root, name);
  const sheet = readSheet(training, found);
  const play = sheet.plays[Number(number) - 1];
  return play ? ask(root, sheet, play, query.get("answer"), isNew) : openSheet(root, sheet, number);
}

function chooseSheet(root, name) {
  root.append(statusLine(name === undefined ? "" : say("This page has no sheet \u2018{name}\u2019. Choose one.", { name }), { class: "trouble" }));
  root.append(el("p", {}, canKeep() ? say("Choose a sheet. Your answers stay on this device; what you missed is asked again first.")
    : say("Choose a sheet. This browser keeps no answers: they last until the page is closed; what you missed is asked again first.")));
  root.append(el("ul", { class: "choices-list" }, ...training.sheets.map((found) => {
    const sheet = readSheet(training, found);
    const words = [el("strong", {}, sheet.title), el("span", {}, `${sheet.code}, ${sayCount(sheet.plays.length, "{count} play", "{count} plays")}. ${writeScore(sheet)}`)];
    return el("li", {}, link(words, writeAddress(PLAY, [sheet.name]), { class: "choice" }));
  })));
  return null;
}

function writeScore(sheet) {
  const { answered, right } = scoreOf(sheet.plays, recallAnswers(sheet));
  return answered ? say("{right} right of {answered} answered.", { right, answered }) : say("None answered yet.");
}

function openSheet(root, sheet, number) {
  if (number === undefined) lately.clear();
  const answers = recallAnswers(sheet);
  const next = nextOf(sheet);
  const { answered, right } = scoreOf(sheet.plays, answers);
  if (number !== undefined && number !== "done") root.append(statusLine(say("There is no play {number} on this sheet.", { number }), { class: "trouble" }));
  root.append(el("p", { class: "score" }, writeScore(sheet)), notice());
  const missed = answered - right;
  if (next) root.append(link(!answered ? say("Begin") : answers[next.id] ? say("Go on: {missed} missed first", { missed }) : say("Go on"), writeAddress(PLAY, [sheet.name, String(next.number)]), { class: "choice go" }));
  else if (missed) root.append(link(say("Ask what was missed again"), writeAddress(PLAY, [sheet.name]), { class: "choice go" }));
  else root.append(el("p", {}, say("Every play of this sheet is right.")));
  root.append(...sheet.legends.map((words) => el("p", { class: "hint" }, ...bold(words))));
  root.append(el("h2", {}, say("Plays")), el("ol", { class: "marks" }, ...sheet.plays.map((play) =>
    el("li", {}, link(play.title, writeAddress(PLAY, [sheet.name, String(play.number)])), el("span", {}, ` ${writeMark(play, answers)}`)))));
  root.append(...offerExport(sheet));
  return null;
}

function writeMark(play, answers) {
  const known = answers[play.id];
  if (!known) return say("not answered");
  return known.last === play.right ? (known.first === play.right ? say("answered right") : say("right, missed at first")) : say("missed");
}

/** The answers as a file for the instructor, under the name and the member's number that are typed. */
function offerExport(sheet) {
  const blanks = { name: askWho("name", { autocomplete: "name", maxlength: "80" }), number: askWho("number", { autocomplete: "off", maxlength: "20" }) };
  const line = statusLine();
  const save = () => {
    const who = Object.fromEntries(Object.entries(blanks).map(([what, blank]) => [what, blank.value]));
    if (!who.name.trim() && !who.number.trim()) {
      line.textContent = say("Type your name, so that the instructor knows whose answers these are.");
      return blanks.name.focus();
    }
    Object.entries(who).forEach(([what, typed]) => keep(`plays:${what}`, typed));
    saveFile(`${sheet.name}-answers.csv`, "text/csv", writeAnswerSheet(who, sheet, recallAnswers(sheet)));
    line.textContent = say("Saved as {file}.", { file: `${sheet.name}-answers.csv` });
    return null;
  };
  return [el("h2", {}, say("For the instructor")), el("p", {}, say("The letters that you chose first, as a file to send.")), el("label", { for: "answerer-name" }, say("Your name")), blanks.name, el("label", { for: "answerer-number" }, say("Your member's number, if you have one")), blanks.number, line, button(say("Save the answer sheet (CSV)"), save)];
}

/** A blank for who answers, filled in as the last time. */
function askWho(what, more) {
  const blank = el("input", { id: `answerer-${what}`, class: "answerer", type: "text", ...more });
  blank.value = recall(`plays:${what}`, "") ?? "";
  return blank;
}

function ask(root, sheet, play, letter, isNew) {
  const chosen = play.choices.find((choice) => choice.letter === letter);
  const heading = el("h2", { class: "question", tabindex: "-1" }, `${play.number}. ${play.title}`);
  root.append(el("p", { class: "by" }, `${sheet.title}, ${sheet.code}. ${writeScore(sheet)}`), heading);
  root.append(drawBases(play.bases), el("p", { class: "hint" }, play.game), ...play.story.map((words) => el("p", {}, ...bold(words))));
  if (play.picture !== null) root.append(el("figure", { class: "play-picture" }, drawPicture(training.pictures[play.picture], training.looks), el("figcaption", {}, play.caption)));
  const verdict = chosen ? tell(sheet, play, chosen) : null;
  if (verdict) root.append(verdict);
  const choices = play.choices.map((choice) => writeChoice(sheet, play, choice, chosen));
  root.append(el("h3", {}, say("The ruling")), el("div", { class: "choices-list", role: "group", "aria-label": say("Ruling on play {number}", { number: play.number }) }, ...choices));
  root.append(notice(), el("nav", { "aria-label": say("Sheet") }, link(say("The whole sheet"), writeAddress(PLAY, [sheet.name]), { class: "key" })));
  return verdict?.querySelector("h3") ?? (isNew ? null : heading);
}

function writeChoice(sheet, play, choice, chosen) {
  const words = [el("strong", { class: "letter" }, choice.letter), el("span", {}, ...bold(choice.words))];
  const address = writeAddress(PLAY, [sheet.name, String(play.number)], { answer: choice.letter });
  if (!chosen) {
    const take = () => {
      record(sheet, play, choice.letter);
      goTo(address, { adjusted: true });
    };
    return button(words, take, "choice", { id: `choice-${choice.letter}` });
  }
  const isRight = choice.letter === play.right;
  const mark = isRight ? say("Right.") : choice === chosen ? say("Your answer.") : "";
  return el("div", { class: `answer${isRight ? " right" : ""}` }, el("p", {}, mark ? el("em", {}, `${mark} `) : null, ...words), choice.reason && choice !== chosen ? el("p", { class: "hint" }, ...bold(choice.reason)) : null);
}

/** What the key says, and where to go on. */
function tell(sheet, play, chosen) {
  const isRight = chosen.letter === play.right;
  const next = nextOf(sheet, play);
  const on = next
    ? link(say("Next: play {number}", { number: next.number }), writeAddress(PLAY, [sheet.name, String(next.number)]), { class: "choice go" })
    : link(say("See how it went"), writeAddress(PLAY, [sheet.name, "done"]), { class: "choice go" });
  return el("section", { class: "told", "aria-label": say("Answer") },
    el("h3", { class: "verdict", tabindex: "-1" }, isRight ? say("Right: {letter}", { letter: play.right }) : say("Not right: the answer is {letter}", { letter: play.right })),
    ...(chosen.reason ? [el("p", {}, el("strong", {}, `${say("Why not {letter}:", { letter: chosen.letter })} `), ...bold(chosen.reason))] : []),
    ...play.key.map((words) => el("p", {}, ...bold(words))), on);
}

if (training) {
  addView({
    name: PLAY, title: say("Case plays"), hint: say("Rule on invented plays, and see at once why."), order: 3,
    heading: ({ path: [name] }) => training.sheets.find((sheet) => sheet.name === name)?.title,
    render,
  });
}
