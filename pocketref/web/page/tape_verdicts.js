// What a crew does about taped readings: `pocketref/tape/verdicts.py` in the browser.

import { dot, times } from "./tape_algebra.js";
import { FACTOR, OFFSET, explain, isDoubt, isField, isMisread, isShape, isTape, listEvery, makeMisread } from "./tape_explain.js";
import { constructNetwork, exceeds, findPlace, measureApart, weighResiduals } from "./tape_network.js";

const pairOf = ({ from, to }) => [from, to].sort().join("-");

/** Everything that readings say of a plan. A reading is {from, to, mm, isSecond}; `temperatureF` may be null. */
export function judgeTape(model, plan, readings, tape, temperatureF) {
  const graduation = new Map(plan.pulls.map((pull) => [pairOf(pull), pull.graduationMm[Object.keys(model.tapes).indexOf(tape)]]));
  const weighed = readings.map((reading) => ({ ...reading, graduationMm: graduation.get(pairOf(reading)) }));
  const found = explain(model, constructNetwork(model, plan, weighed, tape, temperatureF));
  const report = { model, plan, readings, found, isSettled: found.isSettled, tape: findTapeFault(found, plan.toleranceMm) };
  report.stations = new Judge(report).judgeStations();
  return Object.assign(report, listFindings(report));
}

/** The tape, where it or a field set out with such a tape is among the causes; null where it isn't. */
function findTapeFault(found, toleranceMm) {
  const { planned, ownTape } = found.network;
  const atFault = found.added.filter((cause) => listEvery(cause).some(isTape));
  if (!atFault.length) return null;
  const amounts = Object.fromEntries(atFault.map((cause) => [cause.kind, found.measure(cause).amounts[0]]));
  const thousandths = amounts[FACTOR] || amounts.field || 0;
  const kinds = [FACTOR, OFFSET].filter((kind) => amounts[kind]);
  if (!kinds.length) kinds.push(FACTOR);
  const isFieldPerhaps = atFault.some((cause) => listEvery(cause).some(isField));
  const reachMm = Math.max(...planned.map((point) => measureApart(point, planned[0])));
  return {
    kinds,
    thousandths,
    offsetMm: amounts[OFFSET] ?? 0,
    isFieldPerhaps,
    isProved: ownTape.includes(0) && !isFieldPerhaps,
    isHarmless: !kinds.includes(OFFSET) && !exceeds((Math.abs(thousandths) / 1000) * reachMm, toleranceMm),
  };
}

class Judge {
  constructor({ model, plan, readings, found, tape }) {
    Object.assign(this, { model, plan, found, network: found.network });
    this.taped = new Set(readings.map(pairOf));
    this.mayMove = !tape || tape.isProved;
    this.moved = new Set(found.added.flatMap(({ marks }) => marks));
  }

  judgeStations() {
    return new Map(this.network.touched.map((at) => [this.network.marks[at], this.judge(at)]));
  }

  judge(at) {
    const { network, found, model, moved } = this;
    const mark = network.marks[at];
    const doubted = found.causes.filter((cause) => isDoubt(cause) && listEvery(cause).some(({ marks }) => marks.includes(mark)));
    const place = findPlace(model, network, found.solution, at, moved.has(mark));
    const isHeld = model.plateMarks.includes(mark) || !(network.spread[2 * at] || network.spread[2 * at + 1]);
    const isKnown = isHeld && !moved.has(mark);
    let [verdict, again] = ["known", []];
    if (doubted.length || !found.isSettled) {
      again = [...new Set(doubted.flatMap(listEvery).filter(isMisread).map(({ name }) => name))];
      verdict = "again";
    } else if (!isKnown) {
      [verdict, again] = this.decide(at, mark, place);
    }
    const { off, axis, minor, loose } = isKnown ? { off: [0, 0], axis: 0, minor: 0, loose: [1, 0] } : place;
    return { mark, label: this.plan.stations[mark][2], off, farMm: Math.hypot(...off), verdict, pulls: again,
      ellipse: [model.ellipse * axis, model.ellipse * minor, (Math.atan2(loose[1], loose[0]) * 180) / Math.PI] };
  }

  decide(at, mark, { off, covariance, axis, loose }) {
    const { model, found, plan: { toleranceMm, shown } } = this;
    if (exceeds(axis, model.loose * toleranceMm)) {
      const doubted = found.leftOut.map((number) => this.network.names[number]).filter((name) => name.split("-").includes(mark));
      return doubted.length ? ["again", doubted] : ["few", this.choosePulls(at, loose)];
    }
    const far = Math.hypot(...off);
    const way = off.map((amount) => amount / Math.max(far, 1e-9));
    const error = Math.sqrt(Math.max(dot(way, times(covariance, way)), 0));
    if (exceeds(far - model.order * error, toleranceMm)) {
      const again = this.moved.has(mark) ? [] : this.findUpsetting(at);
      return [this.mayMove && !again.length ? "out" : "again", again];
    }
    if (exceeds(far + model.silent * error, toleranceMm) && exceeds(measureShown(off, covariance), shown)) {
      return ["again", this.choosePulls(at, way, true)];
    }
    return [exceeds(far + model.ellipse * axis, toleranceMm) ? "passes" : "good", []];
  }

  /** The pulls any one of which, if misread, could alone have put a station beyond its tolerance. */
  findUpsetting(at) {
    const { network, found, model, plan: { toleranceMm } } = this;
    const own = network.names.map((_, reading) => reading)
      .filter((reading) => (network.starts[reading] === at || network.ends[reading] === at) && !found.leftOut.includes(reading));
    return own.filter((reading) => {
      const { solution } = found.with(makeMisread(network, reading));
      const { off, covariance } = findPlace(model, network, solution, at, false);
      const isLoose = exceeds(Math.max(...covariance.flat()), (model.loose * toleranceMm) ** 2);
      return isLoose || !exceeds(Math.hypot(...off), toleranceMm);
    }).map((reading) => network.names[reading]);
  }

  /** What settles most of where a station is along `way`: two pulls not taped yet, or one that may be. */
  choosePulls(at, way, isAgain = false) {
    const { network: { marks, planned }, plan } = this;
    const scored = plan.pulls.flatMap((pull) => {
      const other = pull.from === marks[at] ? pull.to : pull.from;
      const touches = pull.from === marks[at] || pull.to === marks[at];
      if (!touches || !marks.includes(other) || !(isAgain || !this.taped.has(pairOf(pull)))) return [];
      const [ox, oy] = planned[marks.indexOf(other)];
      const aim = Math.abs(((planned[at][0] - ox) * way[0] + (planned[at][1] - oy) * way[1]) / pull.targetMm);
      return [{ name: `${pull.from}-${pull.to}`, score: Math.round(aim * 1e6) }];
    });
    scored.sort((a, b) => b.score - a.score || (a.name < b.name ? -1 : 1));
    return scored.slice(0, isAgain ? 1 : 2).map(({ name }) => name);
  }
}

/** How significant a place off the plan is: chi-square of two degrees of freedom. */
function measureShown([x, y], [[a, b], [, d]]) {
  return (d * x * x - 2 * b * x * y + a * y * y) / (a * d - b * b);
}

/** What the readings themselves are told of: misreads, swaps, doubts, shapes moved whole, the worst, what to tape. */
function listFindings({ model, plan, readings, found, stations, tape }) {
  const { network } = found;
  const misreads = found.causes.filter((cause) => isMisread(cause) && !isDoubt(cause))
    .map((cause) => ({ name: cause.name, reading: cause.reading, byMm: found.measure(cause).amounts[0] }));
  const doubts = found.causes.filter(isDoubt).map((cause) => ({
    pulls: listEvery(cause).filter(isMisread).map(({ name }) => name),
    places: [...new Set(listEvery(cause).filter((each) => !isMisread(each)).map(({ name }) => name))],
  }));
  const list = (...verdicts) => [...stations.values()].filter(({ verdict }) => verdicts.includes(verdict)).map(({ mark }) => mark);
  const out = list("out");
  const together = found.added.filter((cause) => isShape(cause) && cause.marks.every((mark) => out.includes(mark)));
  const taped = new Set(readings.map(pairOf));
  const usual = plan.pulls.filter((pull) => taped.has(pairOf(pull)));
  const isWaitedFor = [...stations.values()].some(({ verdict, pulls }) => verdict === "again" && !pulls.length);
  const isUnproved = tape && !tape.isProved && (!tape.isHarmless || isWaitedFor);
  const grown = found.added.find(isField);
  return {
    list, misreads, doubts,
    swapped: listSwapped(model, network, misreads),
    together: new Map(together.map(({ name, marks }) => [name, { marks, shared: findShared(model, marks.map((mark) => stations.get(mark))) }])),
    worst: listWorst(model, found),
    secondPull: isUnproved ? usual.reduce((best, pull) => (!best || pull.targetMm > best.targetMm ? pull : best), null) : null,
    fieldThousandths: grown && (!tape || tape.isProved) ? found.measure(grown).amounts[0] : 0,
    untaped: plan.must.filter((pull) => !taped.has(pairOf(pull))).map(({ from, to }) => `${from}-${to}`),
    isFine: [...stations.values()].every(({ verdict }) => ["good", "passes", "known"].includes(verdict))
      && (!tape || tape.isHarmless) && found.isSettled && !found.leftOut.length,
  };
}

/** Pairs of misreads that read as if written in each other's place. */
function listSwapped(model, { target }, misreads) {
  const pairs = misreads.flatMap((first, at) => misreads.slice(at + 1).map((second) => [first, second]));
  return pairs.filter(([first, second]) => {
    const apart = target[second.reading] - target[first.reading];
    return Math.max(Math.abs(first.byMm - apart), Math.abs(second.byMm + apart)) < model.swapped * Math.abs(apart);
  }).map((pair) => pair.map(({ name }) => name));
}

/** The one way that all of a shape is off, mm; null if it turns or stretches. */
function findShared(model, stations) {
  const middle = [0, 1].map((way) => stations.reduce((sum, { off }) => sum + off[way], 0) / stations.length);
  const apart = Math.max(...stations.flatMap(({ off }) => [0, 1].map((way) => Math.abs(off[way] - middle[way]))));
  return exceeds(apart, model.alikeMm) ? null : middle;
}

/** The pulls that disagree most with all that was explained. */
function listWorst(model, { network, solution }) {
  const sizes = weighResiduals(network, solution).map(({ force, hold }, at) => (
    hold > model.unchecked * network.weight[at] ? Math.abs(force) / Math.sqrt(Math.max(hold, 1e-12)) : 0));
  const order = [...sizes.keys()].sort((a, b) => sizes[b] - sizes[a]);
  return order.slice(0, model.worst).map((at) => network.names[at]);
}
