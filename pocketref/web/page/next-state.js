// What a ruling makes of the game, as pocketref/rulings/next_state.py computes it: count, outs, batter and each runner.
import { BASES } from "./engine.js";

const PITCHES = ["none", "ball", "strike", "uncaught strike", "hit"];
const SIDE_OUT = 3;
const MOST_BALLS = 3;
const MOST_STRIKES = 2;
const NEXT_BASE = { first: "second", second: "third", third: "home" };
const NOBODY = { fate: "", base: "", unless: [] };

/** Every state that a ruling may lead to from `{runners, outs, count}`, with when it comes about. */
export function findNextStates(situation, ruling) {
  const [balls, strikes] = situation.count.split("-").map(Number);
  const ways = listWays({ ...situation, balls, strikes }, { out: [], ...ruling });
  const told = ways.filter((way) => way.pitches.join() !== "none");
  const states = told.map((way) => apply(situation, { out: [], ...ruling }, way));
  return states.length === 1 ? [{ ...states[0], when: "" }] : states;
}

/** A runner whom the ruling puts out and who is on no base; empty if nobody is missing. */
export function findMissingRunner(situation, ruling) {
  const out = ruling.out ?? [];
  if (out.includes("runner from third") && !situation.runners.includes("third")) return "runner from third";
  return new Set(out).size > situation.runners.length ? out[0] : "";
}

function listWays(situation, ruling) {
  const { balls, strikes } = situation;
  const way = (when, struck, balled, more = {}) => ({ when, strikes: struck, balls: balled, mayRun: false, isHit: false, pitches: PITCHES, ...more });
  switch (ruling.count) {
    case "as called":
    case "as pitched": {
      const ball = balls === MOST_BALLS ? "ball four" : "a ball";
      const strike = strikes === MOST_STRIKES ? "strike three" : "a strike";
      const ways = [way(ball, strikes, balls + 1, { pitches: ["ball"] }), ...listStrikes(way, situation, ruling, strikes + 1, strike, ["strike"])];
      const isLivePitch = ruling.count === "as pitched" && ruling.ball === "live";
      return isLivePitch
        ? [...ways, way("a hit", strikes, balls, { isHit: true, pitches: ["hit"] }), way("no pitch", strikes, balls, { pitches: ["none"] })]
        : ways;
    }
    case "strike on the pitch": return listStrikes(way, situation, ruling, strikes + 1);
    case "two strikes": return listStrikes(way, situation, ruling, Math.min(strikes + 2, MOST_STRIKES + 1));
    case "foul": return [way("", Math.min(strikes + 1, MOST_STRIKES), balls)];
    default: return [way("", strikes + (ruling.count === "strike"), balls + (ruling.count === "ball"))];
  }
}

/** A strike on a pitch: if it is the third of a live ball, it may be caught or not. */
function listStrikes(way, situation, ruling, strikes, when = "", caught = ["strike", "ball"]) {
  const mayRunUncaught = !situation.runners.includes("first") || situation.outs === SIDE_OUT - 1;
  if (!(strikes > MOST_STRIKES && ruling.ball === "live" && mayRunUncaught)) {
    return [way(when, strikes, situation.balls, { pitches: [...caught, "uncaught strike"] })];
  }
  return [
    way("strike three, caught", strikes, situation.balls, { pitches: caught }),
    way("strike three, not caught", strikes, situation.balls, { mayRun: true, pitches: ["uncaught strike"] }),
  ];
}

function apply(situation, asRuled, way) {
  const ruling = way.isHit ? { ...asRuled, batter: "as ruled", runners: "as ruled", count: "as ruled" } : asRuled;
  const batter = findBatter(ruling, way);
  const isOpen = ["as ruled", "league"].includes(batter.fate) || ["as ruled", "league"].includes(ruling.count);
  const count = isOpen ? "" : batter.fate === "bats" ? `${way.balls}-${way.strikes}` : "0-0";
  const isBatterOut = batter.fate === "out";
  const left = Math.max(SIDE_OUT - situation.outs - isBatterOut, 0);
  const out = [...new Set(ruling.out)].slice(0, left);
  const outs = Math.min(situation.outs + isBatterOut + out.length, SIDE_OUT);
  const state = { when: way.when, outs, batter, mayTakePlay: Boolean(ruling["may-take-play"]) };
  if (outs === SIDE_OUT) return { ...state, count: "0-0", runners: {} };
  return { ...state, count, runners: putOut(moveRunners(situation, ruling, batter), out) };
}

function findBatter(ruling, way) {
  switch (ruling.batter) {
    case "out":
    case "out on appeal": return become("out");
    case "first base": return become("advances", "first");
    case "runs": return become("at risk");
    case "as ruled":
    case "league": return become(ruling.batter);
    default:
      if (way.strikes > MOST_STRIKES) return become(way.mayRun ? "may run" : "out");
      return way.balls > MOST_BALLS ? become("advances", "first") : become("bats");
  }
}

function become(fate, base = "") {
  return { ...NOBODY, fate, base };
}

/** Each runner by the ruling, from third to first; a batter on first forces those behind whom no base is empty. */
function moveRunners(situation, ruling, batter) {
  const held = (base) => situation.runners.includes(base);
  const firstEmpty = BASES.findIndex((base) => !held(base));
  const forced = batter.base === "first" ? BASES.slice(0, firstEmpty < 0 ? BASES.length : firstEmpty) : [];
  const bases = [...BASES].reverse().filter(held);
  return Object.fromEntries(bases.map((base) => [base, forced.includes(base) ? become("advances", NEXT_BASE[base]) : moveRunner(base, ruling.runners)]));
}

function moveRunner(base, code) {
  switch (code) {
    case "stay": return become("stays", base);
    case "return":
    case "forced": return become("returns", base);
    case "one base": return become("advances", NEXT_BASE[base]);
    case "third scores": return become(base === "third" ? "advances" : "if going", NEXT_BASE[base]);
    case "forced or going": return become("if going", NEXT_BASE[base]);
    case "return to last touched": return become("to last touched");
    case "at own risk": return become("at risk");
    default: return become(code);
  }
}

/** The runners with those put out; where more could be meant than are out, each `unless` it is the one. */
function putOut(runners, out) {
  const moved = { ...runners };
  if (out.includes("runner from third")) moved.third = become("out");
  const left = () => Object.keys(moved).filter((base) => moved[base].fate !== "out");
  if (out.includes("runner nearest home")) moved[left()[0]] = become("out");
  const meant = out.filter((each) => each !== "runner from third" && each !== "runner nearest home");
  const on = left();
  for (const base of meant.length ? on : []) moved[base] = on.length === meant.length ? become("out") : { ...moved[base], unless: meant };
  return moved;
}

// --- in words, filled into those of pocketref/rulings/state_words.py ------------------------------------------------

/** What a ruling makes of the game, each case that is left open with its own sentence. */
export function writeStates(states, rules, uncaught = "") {
  let said = states.map((state) => writeState(state, rules));
  if (states.length > 1) said = said.map((words, number) => `${states[number].when}: ${words}`);
  if (states[0].mayTakePlay) said.push(rules.words["take play"]);
  if (uncaught && states.some((state) => state.batter.fate === "may run")) said.push(uncaught);
  return said.map((words) => `${words[0].toUpperCase()}${words.slice(1)}.`);
}

function writeState(state, { words, outs }) {
  if (state.outs === SIDE_OUT) return words[state.batter.fate === "bats" ? "leads off" : "retired"];
  if ([state.batter, ...Object.values(state.runners)].every((each) => each.fate === "as ruled")) return words["as ruled"];
  return [`${writeBatter(state, words)}, ${outs[state.outs]}`, ...writeRunners(state.runners, words)].join("; ");
}

const fill = (words, values) => words.replace(/\{(\w+)\}/g, (_, name) => values[name]);

function writeBatter({ batter, count }, words) {
  const key = batter.fate === "bats" && count ? "batter bats, count" : `batter ${batter.fate}`;
  return fill(words[key] ?? words.batter, { count: count.replace("-", "\u2013"), base: batter.base, fate: words[batter.fate] });
}

/** The runners, those of one fate together, the one nearest home first. */
function writeRunners(runners, words) {
  const groups = new Map();
  for (const [base, each] of Object.entries(runners)) {
    const key = `${each.fate}/${each.unless}`;
    groups.set(key, [...(groups.get(key) ?? []), base]);
  }
  return [...groups.values()].map((bases) => writeGroup(runners[bases[0]], bases, runners, words));
}

function writeGroup({ fate, unless }, bases, runners, words) {
  const who = bases.length > 1 ? "runners" : "runner";
  const inOrder = [...bases].reverse();
  const held = inOrder.length > 1 ? `${inOrder.slice(0, -1).join(", ")} and ${inOrder.at(-1)}` : inOrder[0];
  if (unless.length) return fill(words.unless, { who: unless.join(" and "), held, fate: words[fate] });
  if (fate === "advances") {
    return bases.map((base) => fill(words[runners[base].base === "home" ? "runner scores" : "runner advances"], { held: base, base: runners[base].base })).join(", ");
  }
  return fill(words[`${who} ${fate}`] ?? words[`runner ${fate}`] ?? words.runner, { who, held, fate: words[fate] });
}
