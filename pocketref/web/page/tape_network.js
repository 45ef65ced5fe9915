// Taped readings as a least-squares problem and its solution: `pocketref/tape/network.py` in the browser.
// Unknown are each station's x and y off the plan, mm, then the tape's factor in thousandths and its offset.

import { dot, findEigen, invert, times, zeros } from "./tape_algebra.js";

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

/** The readings that unknowns would give, and how they change with each. */
function predict(network, unknowns) {
  const size = unknowns.length;
  const slopes = zeros(network.read.length, size);
  const predicted = slopes.map((row, at) => {
    const [start, end] = [2 * network.starts[at], 2 * network.ends[at]];
    const towards = [0, 1].map((axis) => network.planned[end / 2][axis] + unknowns[end + axis]
      - network.planned[start / 2][axis] - unknowns[start + axis]);
    const distance = Math.max(Math.hypot(...towards), 1e-9);
    for (const axis of [0, 1]) {
      row[end + axis] = towards[axis] / distance;
      row[start + axis] = -towards[axis] / distance;
    }
    row[size - 2] = (network.ownTape[at] * distance) / 1000;
    row[size - 1] = network.ownTape[at];
    return distance + row[size - 2] * unknowns[size - 2] + row[size - 1] * unknowns[size - 1];
  });
  return { predicted, slopes };
}

/** The least-squares solution with directions added and readings left out, by Gauss-Newton on what is added. */
export function solveNetwork(model, network, added = [], leftOut = []) {
  const size = network.spread.length;
  const count = size + added.length + leftOut.length;
  const prior = [...network.known.map((known) => known || 1), ...Array(count - size).fill(model.freeMm ** -2)];
  const held = (column) => column < size && network.known[column] === 0;
  let moved = new Float64Array(added.length);
  let result;
  for (let step = 0, change = Infinity; step < model.mostSteps && change >= model.settledMm; step += 1) {
    const far = mixColumns(added, moved, size);
    const { predicted, slopes } = predict(network, far);
    const rows = slopes.map((slope, at) => {
      const row = new Float64Array(count);
      row.set(slope);
      for (let column = 0; column < size; column += 1) if (held(column)) row[column] = 0;
      added.forEach((direction, beyond) => { row[size + beyond] = dot(slope, direction); });
      const out = leftOut.indexOf(at);
      if (out >= 0) row[size + added.length + out] = 1;
      return row;
    });
    const misfit = network.read.map((read, at) => read - predicted[at] + dot(rows[at].subarray(size, size + added.length), moved));
    const cofactor = invert(sumNormal(network, rows, prior));
    if (!cofactor) throw new Untold("the readings can't be solved here");
    const right = new Float64Array(count);
    rows.forEach((row, at) => {
      const pull = network.weight[at] * misfit[at];
      for (let column = 0; column < count; column += 1) right[column] += row[column] * pull;
    });
    const whole = times(cofactor, right);
    const next = whole.slice(size, size + added.length);
    change = Math.max(0, ...next.map((value, at) => Math.abs(value - moved[at])));
    moved = next;
    result = { rows, misfit, cofactor, whole, far: mixColumns(added, moved, size) };
  }
  return finishSolution(network, added, prior, held, result);
}

function finishSolution(network, added, prior, held, { rows, misfit, cofactor, whole, far }) {
  const size = network.spread.length;
  cofactor.forEach((row, i) => row.forEach((_, j) => { if (held(i) || held(j)) row[j] = 0; }));
  const left = misfit.map((value, at) => value - dot(rows[at], whole));
  const square = left.reduce((sum, value, at) => sum + network.weight[at] * value ** 2, 0)
    + prior.reduce((sum, value, at) => sum + value * whole[at] ** 2, 0);
  if (!Number.isFinite(square)) throw new Untold("the readings can't be solved here");
  const own = whole.slice(0, size);
  return { own, unknowns: own.map((value, at) => value + far[at]), amounts: whole.slice(size), added, cofactor, rows, left, square };
}

function mixColumns(columns, amounts, size) {
  const sum = new Float64Array(size);
  columns.forEach((column, at) => column.forEach((value, row) => { sum[row] += value * amounts[at]; }));
  return sum;
}

/** Normal matrix: rowsᵀ weight rows + prior, of rows that are mostly zeros. */
function sumNormal(network, rows, prior) {
  const normal = zeros(prior.length, prior.length);
  rows.forEach((row, at) => {
    const filled = [...row.keys()].filter((column) => row[column] !== 0);
    for (const i of filled) for (const j of filled) normal[i][j] += row[i] * row[j] * network.weight[at];
  });
  prior.forEach((value, at) => { normal[at][at] += value; });
  return normal;
}

/** Of each reading the pull of its residual, and how firmly the rest holds it. */
export function weighResiduals(network, solution) {
  return solution.rows.map((row, at) => {
    const filled = [...row.keys()].filter((column) => row[column] !== 0);
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
