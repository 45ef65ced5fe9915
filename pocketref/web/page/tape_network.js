// Taped readings as a least-squares problem and its solution: `pocketref/tape/network.py` in the browser.
// Unknown are each station's x and y off the plan, mm, then the tape's factor in thousandths and its offset.

import { dot, factorize, findEigen, invertBy, solveBy, times, zeros } from "./tape_algebra.js";

/** Thrown where the page can't tell what the engine would: the readings go to `pocketref tape`. */
export class Untold extends Error {}

const HAIR = 1e-6;

/** Whether a > b; where that hangs on a hair, which rounding may have turned, nothing is told. */
export function exceeds(a, b) {
  if (!(Math.abs(a - b) > HAIR * Math.max(1, Math.abs(a), Math.abs(b)))) throw new Untold("a verdict hangs on rounding");
  return a > b;
}

/** What readings of a plan are judged from: standard deviations across the field and along it by mark, 0 where held. */
function chooseFrame(model, plan, marks, honestMm) {
  const { plateMarks, plateMm, turnMm, centreMarks } = model;
  if (!plan.stations["1B"]) {
    return new Map(plateMarks.filter((mark) => plan.stations[mark]).map((mark) => [mark, [plateMm, plateMm]]));
  }
  const aim = centreMarks.find((mark) => marks.has(mark));
  const corner = aim ? turnMm : plateMm;
  const corners = plateMarks.slice(1).filter((mark) => marks.has(mark)).map((mark) => [mark, [corner, corner]]);
  return new Map([["A", [0, 0]], ...(aim ? [[aim, [0, honestMm]]] : []), ...corners]);
}

/** Readings between stations as arrays. A reading: {from, to, mm, isSecond, graduationMm}. */
export function constructNetwork(model, plan, readings, tape, temperatureF) {
  const honestMm = plan.toleranceMm / model.honest;
  const read = new Set(readings.flatMap(({ from, to }) => [from, to]));
  const frame = chooseFrame(model, plan, read, honestMm);
  const marks = [...new Set([...frame.keys(), ...read])];
  const place = new Map(marks.map((mark, at) => [mark, at]));
  const { expansionPerF, factor } = model.tapes[tape];
  const warmer = temperatureF === null ? 0 : temperatureF - model.standardF;
  const tapeSpread = [1000 * (temperatureF === null ? factor.unknown : factor.known), model.offsetMm];
  const network = {
    marks,
    planned: marks.map((mark) => plan.stations[mark].slice(0, 2)),
    starts: readings.map(({ from }) => place.get(from)),
    ends: readings.map(({ to }) => place.get(to)),
    read: readings.map(({ mm }) => mm * (1 + expansionPerF * warmer)),
    weight: readings.map(({ graduationMm }) => 1 / (model.handMm2 + graduationMm ** 2)),
    ownTape: readings.map(({ isSecond }) => (isSecond ? 0 : 1)),
    spread: [...marks.flatMap((mark) => frame.get(mark) ?? [honestMm, honestMm]), ...tapeSpread],
    names: readings.map(({ from, to }) => `${from}-${to}`),
  };
  network.target = network.starts.map((start, at) => measureApart(network.planned[start], network.planned[network.ends[at]]));
  network.known = network.spread.map((spread) => (spread === 0 ? 0 : 1 / spread ** 2));
  network.touched = [...new Set([...network.starts, ...network.ends])].sort((a, b) => a - b);
  return network;
}

export const measureApart = ([ax, ay], [bx, by]) => Math.hypot(bx - ax, by - ay);

/** The readings that unknowns would give, and how they change with each: rows with room for `count` amounts. */
function predict(network, unknowns, count) {
  const size = unknowns.length;
  const rows = zeros(network.read.length, count);
  const predicted = rows.map((row, at) => {
    const [start, end] = [2 * network.starts[at], 2 * network.ends[at]];
    const [from, to] = [network.planned[start / 2], network.planned[end / 2]];
    const x = to[0] + unknowns[end] - from[0] - unknowns[start];
    const y = to[1] + unknowns[end + 1] - from[1] - unknowns[start + 1];
    const distance = Math.max(Math.hypot(x, y), 1e-9);
    [row[end], row[end + 1], row[start], row[start + 1]] = [x / distance, y / distance, -x / distance, -y / distance];
    row[size - 2] = (network.ownTape[at] * distance) / 1000;
    row[size - 1] = network.ownTape[at];
    return distance + row[size - 2] * unknowns[size - 2] + row[size - 1] * unknowns[size - 1];
  });
  return { predicted, rows };
}

/** The numbers of a row that are not zero. */
function listFilled(row) {
  const filled = [];
  for (let at = 0; at < row.length; at += 1) if (row[at] !== 0) filled.push(at);
  return filled;
}

/** The least-squares solution with directions added and readings left out, by Gauss-Newton on what is added. */
export function solveNetwork(model, network, added = [], leftOut = []) {
  const size = network.spread.length;
  const count = size + added.length + leftOut.length;
  const prior = [...network.known.map((known) => known || 1), ...Array(count - size).fill(model.freeMm ** -2)];
  const held = [...network.known.keys()].filter((at) => network.known[at] === 0);
  let moved = new Float64Array(added.length);
  let result;
  for (let step = 0, change = Infinity; step < model.mostSteps && change >= model.settledMm; step += 1) {
    const { predicted, rows } = predict(network, mixColumns(added, moved, size), count);
    rows.forEach((row, at) => {
      const filled = listFilled(row);
      added.forEach((direction, beyond) => { row[size + beyond] = filled.reduce((sum, column) => sum + row[column] * direction[column], 0); });
      for (const column of held) row[column] = 0;
      const out = leftOut.indexOf(at);
      if (out >= 0) row[size + added.length + out] = 1;
    });
    const misfit = network.read.map((read, at) => read - predicted[at] + dot(rows[at].subarray(size, size + added.length), moved));
    const { normal, right } = sumNormal(network, rows, prior, misfit);
    const low = factorize(normal);
    if (!low) throw new Untold("the readings can't be solved here");
    const whole = solveBy(low, right);
    const next = whole.slice(size, size + added.length);
    change = Math.max(0, ...next.map((value, at) => Math.abs(value - moved[at])));
    moved = next;
    result = { rows, misfit, low, whole, far: mixColumns(added, moved, size) };
  }
  return new Solution(network, added, prior, held, result);
}

/** Unknowns, amounts of what was added, what is left of the readings and the weighted sum of squares. */
class Solution {
  #cofactor = null;

  constructor(network, added, prior, held, { rows, misfit, low, whole, far }) {
    const size = network.spread.length;
    const left = misfit.map((value, at) => value - dot(rows[at], whole));
    const own = whole.slice(0, size);
    const square = left.reduce((sum, value, at) => sum + network.weight[at] * value ** 2, 0)
      + prior.reduce((sum, value, at) => sum + value * whole[at] ** 2, 0);
    if (!Number.isFinite(square)) throw new Untold("the readings can't be solved here");
    Object.assign(this, { own, unknowns: own.map((value, at) => value + far[at]), amounts: whole.slice(size), added, rows, left, square, low, held });
  }

  /** Covariance of the unknowns (zeros where held) and of the amounts; most solutions are only weighed and need none. */
  get cofactor() {
    if (!this.#cofactor) {
      this.#cofactor = invertBy(this.low);
      for (const at of this.held) {
        this.#cofactor[at].fill(0);
        for (const row of this.#cofactor) row[at] = 0;
      }
    }
    return this.#cofactor;
  }
}

function mixColumns(columns, amounts, size) {
  const sum = new Float64Array(size);
  columns.forEach((column, at) => column.forEach((value, row) => { sum[row] += value * amounts[at]; }));
  return sum;
}

/** Normal matrix, rowsᵀ weight rows + prior, and rowsᵀ weight misfit, of rows that are mostly zeros. */
function sumNormal(network, rows, prior, misfit) {
  const normal = zeros(prior.length, prior.length);
  const right = new Float64Array(prior.length);
  rows.forEach((row, at) => {
    const filled = listFilled(row);
    for (const i of filled) {
      const weighted = row[i] * network.weight[at];
      right[i] += weighted * misfit[at];
      for (const j of filled) normal[i][j] += weighted * row[j];
    }
  });
  prior.forEach((value, at) => { normal[at][at] += value; });
  return { normal, right };
}

/** Of each reading the pull of its residual, and how firmly the rest holds it. */
export function weighResiduals(network, solution) {
  return solution.rows.map((row, at) => {
    const filled = listFilled(row);
    let spread = 0;
    for (const i of filled) for (const j of filled) spread += row[i] * row[j] * solution.cofactor[i][j];
    const weight = network.weight[at];
    return { force: weight * solution.left[at], hold: weight - weight ** 2 * spread };
  });
}

/** How far off its plan a station is by its own pulls, mm, and the covariance; what was expected of it is taken out. */
export function findPlace(model, network, solution, at, isFreed) {
  const size = network.spread.length;
  const shift = (row) => solution.added.map((column) => column[row]);
  const block = [0, 1].map((i) => [0, 1].map((j) => {
    const [a, b] = [2 * at + i, 2 * at + j];
    let sum = solution.cofactor[a][b] + (i === j && network.known[a] === 0 ? 1e-12 : 0);
    shift(a).forEach((left, k) => {
      sum += left * solution.cofactor[size + k][b];
      shift(b).forEach((right, l) => { sum += left * right * solution.cofactor[size + k][size + l]; });
    });
    shift(b).forEach((right, l) => { sum += right * solution.cofactor[a][size + l]; });
    return sum;
  }));
  const whole = invert2(block);
  const aim = times(whole, solution.unknowns.subarray(2 * at, 2 * at + 2));
  if (!isFreed) for (const i of [0, 1]) whole[i][i] -= network.known[2 * at + i];
  const { values, vectors } = findEigen(whole);
  const sizes = values.map((value) => 1 / Math.max(value, model.freeMm ** -2));
  const covariance = [0, 1].map((i) => [0, 1].map((j) => vectors.reduce((sum, v, k) => sum + v[i] * sizes[k] * v[j], 0)));
  return { off: [...times(covariance, aim)], covariance, axis: Math.sqrt(Math.max(...sizes)), minor: Math.sqrt(Math.min(...sizes)),
    loose: vectors[sizes[0] > sizes[1] ? 0 : 1] };
}

function invert2([[a, b], [c, d]]) {
  const size = a * d - b * c;
  return [[d / size, -b / size], [-c / size, a / size]];
}
