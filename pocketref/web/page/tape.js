// Tape a field: readings typed in, each judged beside its field, then what the crew is to do.
// An address is #tape/high-school-90-ft/plate-area. What is typed stays on the device, a sheet at a time.
import { data, saveFile } from "./data.js";
import { button, el, statusLine } from "./dom.js";
import { joinWords, say } from "./language.js";
import { addView, goTo, writeAddress } from "./main.js";
import { forget, keep, notice, recall } from "./store.js";
import { drawField } from "./tape_drawing.js";
import { writeTape } from "./tape_lengths.js";
import { judgePull, judgeTemperature, judgeTyped, listPulls, nameOf, openModel, writeCsv } from "./tape_model.js";
import { sayAll } from "./tape_words.js";
import { startLarge } from "./words.js";

const TAPE_VIEW = "tape";
const tapeData = data(TAPE_VIEW);
const tapeModel = tapeData && openModel(tapeData);
const keyOf = ({ level, plan }) => `tape:${level}:${plan}`;
const spellPull = ({ from, to }) => `${from}\u2013${to}`;

/** The sheet of an address, with what was typed into it before. */
function openSheet([level, plan]) {
  const last = recall("tape", {});
  const find = (from, wanted, other) => [wanted, other, Object.keys(from)[0]].find((name) => Object.hasOwn(from, name ?? ""));
  const chosen = find(tapeModel.levels, level, last.level);
  const { plans } = tapeModel.levels[chosen];
  const sheet = { level: chosen, plan: find(plans, plan, last.plan) };
  const empty = { tape: Object.keys(tapeModel.tapes)[0], temperature: "", readings: {}, second: {}, isAsked: false };
  return { ...empty, ...recall(keyOf(sheet), {}), ...sheet };
}

function renderTape(root, { path, pressed }) {
  const typed = openSheet(path);
  keep("tape", { level: typed.level, plan: typed.plan });
  const sheet = new Sheet(root, typed);
  sheet.build();
  return pressed ? document.getElementById(pressed) : null;
}

/** One sheet on the screen: its blanks, and the verdict below. */
class Sheet {
  constructor(root, typed) {
    Object.assign(this, { root, typed, plan: tapeModel.levels[typed.level].plans[typed.plan], blanks: [] });
    this.progress = statusLine("", { class: "progress" });
    this.verdict = el("section", { "aria-labelledby": "to-do" });
  }

  build() {
    const { plan } = this;
    const longest = plan.must.reduce((best, pull) => (pull.targetMm > best.targetMm ? pull : best));
    const more = listPulls(plan).filter((pull) => !plan.must.includes(pull));
    const isOpen = more.some((pull) => this.typed.readings[nameOf(pull)]) || Object.keys(this.typed.second).length > 0;
    const list = el("ul", { class: "pulls" });
    const fill = () => list.childElementCount || list.append(this.askPull(longest, "second"), ...more.map((pull) => this.askPull(pull, "readings")));
    this.root.append(
      notice(), this.chooseSheet(), this.askTape(),
      el("h2", {}, say("Readings")),
      el("p", {}, say("Type what the tape says, with its units: 7 ft 2 9/16 in, 7' 2 9/16\", or 2199 mm. \u00b1 is how far a true pull may read off.")),
      el("ol", { class: "pulls" }, ...plan.must.map((pull, at) => this.askPull(pull, "readings", at + 1))),
      el("details", { class: "more-pulls", open: isOpen, ontoggle: fill },
        el("summary", {}, say("More pulls, if in doubt")),
        el("p", {}, say("The first by another tape: whether yours is stretched or cut.")), list),
      this.verdict,
      el("div", { class: "tape-bar" }, this.progress, button(say("What to do"), () => this.judge(true), "key", { class: "key strong" })),
    );
    if (isOpen) fill();
    this.tell();
    if (this.typed.isAsked) this.judge();
  }

  chooseSheet() {
    const select = (id, label, names, value, change) => el("p", { class: "pick" }, el("label", { for: id }, label),
      el("select", { id, onchange: (event) => change(event.target.value) },
        ...Object.entries(names).map(([name, each]) => el("option", { value: name, selected: name === value }, startLarge(each.name)))));
    const { level, plan } = this.typed;
    const go = (...path) => goTo(writeAddress(TAPE_VIEW, path), { adjusted: true });
    return el("div", { class: "picks" },
      select("tape-level", say("Level"), tapeModel.levels, level, (name) => go(name, plan)),
      select("tape-plan", say("Sheet"), tapeModel.levels[level].plans, plan, (name) => go(level, name)));
  }

  askTape() {
    const { typed } = this;
    const words = el("output", { id: "warmth-said", class: "told", for: "warmth" });
    const field = el("input", { id: "warmth", value: typed.temperature, autocomplete: "off", "aria-describedby": "warmth-said" });
    const judge = () => {
      const fault = judgeTemperature(tapeModel, field.value).words;
      words.textContent = fault || (field.value.trim() ? "" : say("such as {example}", { example: "85 F" }));
      field.setAttribute("aria-invalid", String(Boolean(fault)));
    };
    field.addEventListener("input", () => { typed.temperature = field.value; this.change(); });
    field.addEventListener("change", judge);
    judge();
    const choose = (event) => { typed.tape = event.target.value; this.change(); this.judgeAgain(); };
    const kinds = Object.keys(tapeModel.tapes).map((name) => el("option", { value: name, selected: name === typed.tape }, startLarge(tapeModel.tapes[name].name)));
    field.addEventListener("change", () => this.judgeAgain());
    return el("div", { class: "picks" },
      el("p", { class: "pick" }, el("label", { for: "tape-kind" }, say("Kind of tape")), el("select", { id: "tape-kind", onchange: choose }, ...kinds)),
      el("p", { class: "pick" }, el("label", { for: "warmth" }, say("Its temperature")), field, words));
  }

  /** A pull with its blank; `part` says by which tape. */
  askPull(pull, part, number = 0) {
    const id = `${part}-${nameOf(pull)}`;
    const texts = this.typed[part];
    const told = el("output", { id: `${id}-told`, class: "told", for: id });
    const field = el("input", { id, value: texts[nameOf(pull)] ?? "", autocomplete: "off", autocapitalize: "off", spellcheck: "false",
      enterkeyhint: "next", "aria-describedby": `${id}-told` });
    const blank = { pull, field, told, judge: (isDone) => showJudged(judgePull(tapeModel, pull, field.value), blank, isDone) };
    field.addEventListener("input", () => {
      if (field.value.trim()) texts[nameOf(pull)] = field.value;
      else delete texts[nameOf(pull)];
      blank.judge(false);
      this.change();
    });
    field.addEventListener("change", () => { blank.judge(true); this.judgeAgain(); });
    field.addEventListener("keydown", (event) => event.key === "Enter" && this.goOn(blank));
    this.blanks.push(blank);
    blank.judge(true);
    const name = `${number ? number + ". " : ""}${part === "second" ? say("{pull}, second tape", { pull: spellPull(pull) }) : spellPull(pull)}`;
    return el("li", {},
      el("label", { for: id }, el("strong", {}, name), el("span", { class: "along" }, pull.description)),
      el("span", { class: "target" }, `${writeTape(pull.targetMm)} \u00b1 ${writeTape(pull.limitMm)}`), field, told);
  }

  goOn(blank) {
    const next = this.blanks[this.blanks.indexOf(blank) + 1];
    if (next?.field.checkVisibility()) next.field.focus();
    else blank.field.blur();
  }

  change() {
    keep(keyOf(this.typed), this.typed);
    this.tell();
  }

  /** How far the crew is: said below, where it stays in view. */
  tell() {
    const judged = this.plan.must.map((pull) => judgePull(tapeModel, pull, this.typed.readings[nameOf(pull)] ?? ""));
    const off = judged.filter(({ state }) => state === "off").length;
    const typed = judged.filter(({ mm }) => mm !== undefined).length;
    const told = { typed, all: judged.length, off };
    const words = off ? say("{typed} of {all} typed, {off} off", told) : say("{typed} of {all} typed", told);
    if (this.progress.textContent !== words) this.progress.textContent = words;
  }

  judgeAgain() {
    if (this.typed.isAsked) this.judge();
  }

  judge(isAsked = false) {
    this.typed.isAsked = true;
    if (isAsked) keep(keyOf(this.typed), this.typed);
    const { report, refused } = judgeTyped(tapeModel, this.typed);
    const heading = el("h2", { id: "to-do", tabindex: "-1", class: "verdict" }, report ? sayHeadline(report) : say("Not judged yet"));
    const lines = report ? sayAll(report) : [refused];
    const unread = this.blanks.filter(({ field }) => field.getAttribute("aria-invalid") === "true").map(({ pull }) => spellPull(pull));
    if (unread.length) lines.unshift(say("can't be read, and left out: {pulls}", { pulls: joinWords(unread) }));
    this.verdict.replaceChildren(heading,
      el("ul", { class: "work" }, ...lines.map((line) => el("li", {}, `${startLarge(line).replace(/\.$/, "")}.`))),
      ...(report ? drawField(report) : []),
      ...(report?.list("out").length ? [el("p", {}, el("strong", {}, say("Warning:")), " ", tapeModel.caution)] : []),
      el("p", {}, tapeModel.ours),
      el("div", { class: "keys" },
        button(say("Save readings"), () => this.save(), "key"), button(say("Print"), () => print(), "key"),
        button(say("Clear the sheet"), (event) => this.clear(event.currentTarget), "key")));
    if (isAsked) {
      heading.scrollIntoView({ block: "start" });
      heading.focus({ preventScroll: true });
    }
  }

  save() {
    saveFile(`readings-${this.typed.level}-${this.typed.plan}.csv`, "text/csv", writeCsv(tapeModel, this.typed));
  }

  /** Cleared by the second tap only: readings are half an hour's work. */
  clear(pressed) {
    if (!pressed.dataset.sure) {
      pressed.dataset.sure = "yes";
      pressed.textContent = say("Tap again to clear");
      return;
    }
    forget(keyOf(this.typed));
    goTo(writeAddress(TAPE_VIEW, [this.typed.level, this.typed.plan]), { adjusted: true });
  }
}

/** What a blank says of its reading: a fault only when the typing is done. */
function showJudged({ state, words }, { field, told }, isDone) {
  const isFault = state === "fault";
  field.dataset.state = isFault && !isDone ? "empty" : state;
  field.setAttribute("aria-invalid", String(isFault && isDone));
  const said = isFault && !isDone ? "" : words;
  if (told.textContent !== said) told.textContent = said;
}

function sayHeadline(report) {
  const out = report.list("out");
  if (!report.isSettled) return say("Tape again: the readings disagree");
  if (report.secondPull) return say("Check the tape first");
  if (report.together.size) return say("Move {shapes}", { shapes: joinWords([...report.together.keys()].map((name) => report.model.shapeNames[name])) });
  if (out.length) return say("Move {marks}", { marks: joinWords(out) });
  if (report.doubts.length || report.misreads.length || report.list("again").length) return say("Tape again, move nothing");
  if (report.list("few").length) return say("More pulls are needed");
  return say("Leave it: nothing is off");
}

if (tapeModel && Object.keys(tapeModel.levels).length) {
  addView({ name: TAPE_VIEW, title: say("Tape a field"), hint: say("Type readings in, and see what to move."), order: 2, render: renderTape });
}
