// What is wrong, by the readings: `pocketref/tape/explain.py` in the browser, with the same steps and the same names.
// A cause is {kind, name, marks, reading, aim (directions), gain, rivals}.

import { dot, findEigen, unit } from "./tape_algebra.js";
import { exceeds, solveNetwork, weighResiduals } from "./tape_network.js";

const MISREAD = "misread";
const STATION = "station";
const SHAPE = "shape";
const FIELD = "field";
export const FACTOR = "factor";
export const OFFSET = "offset";
export const isTape = ({ kind }) => kind === FACTOR || kind === OFFSET;
const isOfTape = (cause) => isTape(cause) || cause.kind === FIELD;
export const isField = ({ kind }) => kind === FIELD;
export const isMisread = ({ kind }) => kind === MISREAD;
export const isShape = ({ kind }) => kind === SHAPE;
export const listEvery = (cause) => [cause, ...cause.rivals];
export const isDoubt = (cause) => cause.rivals.length > 0 && listEvery(cause).some(isMisread);

const makeCause = (kind, name, marks, aim, reading = -1) => ({ kind, name, marks, aim, reading, gain: 0, rivals: [] });
export const makeMisread = (network, reading) => makeCause(MISREAD, network.names[reading], [], [], reading);
const sizeOf = (cause) => (isMisread(cause) ? 1 : cause.aim.length);

/** Causes in the order they were found, and the network solved with them. */
class Explanation {
  constructor(model, network, places, causes = []) {
    Object.assign(this, { model, network, places, causes, isSettled: false });
    this.added = causes.filter((cause) => !isMisread(cause) && !isDoubt(cause));
    const one = causes.flatMap((cause) => (isDoubt(cause) ? listEvery(cause) : [cause]));
    this.leftOut = [...new Set(one.filter(isMisread).map(({ reading }) => reading))];
    this.solution = solveNetwork(model, network, this.added.flatMap(({ aim }) => aim), this.leftOut);
  }

  with(...more) {
    return new Explanation(this.model, this.network, this.places, [...this.causes, ...more]);
  }

  /** The amounts of one of its causes, and their covariance. */
  measure(cause) {
    const sizes = (causes) => causes.reduce((sum, each) => sum + sizeOf(each), 0);
    const start = isMisread(cause)
      ? sizes(this.added) + this.leftOut.indexOf(cause.reading)
      : sizes(this.added.slice(0, this.added.indexOf(cause)));
    const first = this.network.spread.length + start;
    const covariance = this.solution.cofactor.slice(first, first + sizeOf(cause)).map((row) => row.subarray(first, first + sizeOf(cause)));
    return { amounts: this.solution.amounts.subarray(start, start + sizeOf(cause)), covariance };
  }

  need(cause) {
    return this.model.critical[sizeOf(cause) - 1][this.network.read.length - 1];
  }
}

/** Everything that the readings say is wrong. The tape is named only where it explains the readings. */
export function explain(model, network) {
  const places = listPlaces(model, network);
  const found = explainBy(new Explanation(model, network, places));
  const ofTape = found.added.filter(isOfTape);
  if (ofTape.length && found.added.length - ofTape.length > model.fewBeside) {
    const other = explainBy(new Explanation(model, network, places.filter((cause) => !isOfTape(cause))));
    return other.isSettled ? other : found;
  }
  return found;
}

/** Taking what gains most, one after another, until nothing does. */
function explainBy(start) {
  const { model, network } = start;
  let found = start;
  for (let taken = 0; taken < model.mostCauses; taken += 1) {
    const cause = findCause(found);
    if (!cause) {
      found.isSettled = true;
      return found;
    }
    found = dropIdle(found.with(cause));
    if (found.leftOut.length > Math.max(model.fewLeftOut, Math.floor(network.read.length / model.mostShare))) break;
  }
  return found;
}

/** What gains most beyond its critical value, with its rivals; null if nothing gains. */
function findCause(found) {
  const { model } = found;
  const weighed = weigh(found).sort((a, b) => b.gain - a.gain);
  if (!weighed.length) return null;
  const hopeful = weighed.filter(({ gain }) => gain > model.hopeful * weighed[0].gain);
  for (const cause of hopeful.filter(({ kind }) => kind === STATION || kind === SHAPE).slice(0, model.mostSolved)) {
    const gain = found.solution.square - found.with(cause).solution.square - found.need(cause);
    weighed[weighed.indexOf(cause)] = { ...cause, gain };
  }
  weighed.sort((a, b) => b.gain - a.gain);
  const rank = (cause) => [isTape(cause) ? 0 : 1, cause.kind, cause.name].join(" ");
  const alike = weighed.filter(({ gain }) => gain >= weighed[0].gain - model.rounding * Math.abs(weighed[0].gain));
  const best = alike.reduce((first, cause) => (rank(cause) < rank(first) ? cause : first));
  if (!exceeds(best.gain, 0)) return null;
  return { ...best, rivals: weighed.filter((cause) => cause !== best && exceeds(cause.gain, best.gain - model.rival)) };
}

/** Every single thing more that would explain the readings better, by slopes: misreads, places, the tape. */
function weigh(found) {
  const { model, network, solution } = found;
  const causes = [];
  const add = (cause, square) => {
    const gain = square - found.need(cause);
    if (exceeds(gain, 0)) causes.push({ ...cause, gain });
  };
  weighResiduals(network, solution).forEach(({ force, hold }, at) => {
    add(makeMisread(network, at), hold > model.unchecked * network.weight[at] ? force ** 2 / hold : 0);
  });
  const { known } = network;
  const held = (i, j) => (i === j ? known[i] : 0) - known[i] * solution.cofactor[i][j] * known[j];
  const drawn = solution.own.map((value, at) => known[at] * value);
  for (const cause of found.places) {
    const terms = cause.aim.map((aim) => [...aim.keys()].filter((at) => aim[at] !== 0));
    const firm = cause.aim.map((one, a) => Float64Array.from(cause.aim, (other, b) => {
      let sum = 0;
      for (const i of terms[a]) for (const j of terms[b]) sum += one[i] * other[j] * held(i, j);
      return sum;
    }));
    add(cause, measureGain(cause.aim.map((aim) => dot(aim, drawn)), firm));
  }
  return causes;
}

/** pullᵀ firm⁻¹ pull; directions that nothing holds gain nothing. */
function measureGain(pull, firm) {
  const { values, vectors } = findEigen(firm);
  const least = 1e-9 * Math.max(values.at(-1), 1e-12);
  return values.reduce((sum, value, at) => (value > least ? sum + dot(vectors[at], pull) ** 2 / value : sum), 0);
}

/** The same without causes that later ones leave nothing to explain; what was left out is so put back. */
function dropIdle(found) {
  const isNeeded = (cause) => {
    const { amounts, covariance } = found.measure(cause);
    return !exceeds(found.need(cause), measureGain(amounts, covariance));
  };
  const last = found.causes.at(-1);
  const kept = found.causes.filter((cause) => cause === last || isDoubt(cause) || isNeeded(cause));
  return kept.length === found.causes.length ? found : new Explanation(found.model, found.network, found.places, kept);
}

/** Stations, shapes, the field and the tape, with the directions in which each would let unknowns go. */
function listPlaces(model, network) {
  const { marks, planned, touched } = network;
  const size = network.spread.length;
  const axis = (index) => unit(size, index);
  const sum = (rows, across, along) => {
    const column = new Float64Array(size);
    rows.forEach((row, at) => { column[2 * row] = across(at); column[2 * row + 1] = along(at); });
    return column;
  };
  const places = touched.map((index) => [index, [2 * index, 2 * index + 1].filter((number) => network.spread[number] > 0)])
    .filter(([, loose]) => loose.length)
    .map(([index, loose]) => makeCause(STATION, marks[index], [marks[index]], loose.map(axis)));
  for (const [name, shape] of Object.entries(model.shapes)) {
    const rows = shape.map((mark) => marks.indexOf(mark));
    if (!rows.every((row) => touched.includes(row))) continue;
    const middle = [0, 1].map((way) => rows.reduce((total, row) => total + planned[row][way], 0) / rows.length);
    const arm = rows.map((row) => [0, 1].map((way) => (planned[row][way] - middle[way]) / 1000));
    places.push(makeCause(SHAPE, name, shape, [
      sum(rows, () => 1, () => 0), sum(rows, () => 0, () => 1), sum(rows, (at) => -arm[at][1], (at) => arm[at][0])]));
  }
  places.push(makeCause(FACTOR, "the tape", [], [axis(size - 2)]), makeCause(OFFSET, "the tape", [], [axis(size - 1)]));
  const field = marks.filter((mark) => !model.plateMarks.includes(mark));
  if (field.length > 1) {
    const rows = field.map((mark) => marks.indexOf(mark));
    const apex = planned[marks.indexOf("A")];
    const grown = rows.map((row) => [0, 1].map((way) => (planned[row][way] - apex[way]) / 1000));
    places.push(makeCause(FIELD, "the whole field", field, [sum(rows, (at) => grown[at][0], (at) => grown[at][1])]));
  }
  return places;
}
