// Where the readings put the marks, over the plan, with the errors magnified: for the crew to see which way to move what.
import { el } from "./dom.js";
import { say } from "./language.js";
import { writeTape } from "./tape_lengths.js";
import { writeMove } from "./tape_words.js";

const FACTORS = [200, 100, 50, 40, 30, 25, 20, 15, 10, 8, 6, 5, 4, 3, 2, 1];
const WIDTH = 340;
const EDGE = 46;
const FARTHEST = 28;
const LEAST_ARROW = 7;
const LEAVES = ["good", "passes", "known"];

function svg(kind, attributes, ...children) {
  const node = document.createElementNS("http://www.w3.org/2000/svg", kind);
  for (const [name, value] of Object.entries(attributes)) node.setAttribute(name, value);
  node.append(...children);
  return node;
}

const round = (value) => Math.round(value * 10) / 10;
const writePoints = (points) => points.map((point) => point.map(round).join(",")).join(" ");

/** The figure and its legend, as elements. */
export function drawField(report) {
  const { plan, stations, misreads } = report;
  const shown = [...stations.keys()];
  const spots = shown.map((mark) => plan.stations[mark]);
  const [xs, ys] = [0, 1].map((way) => spots.map((spot) => spot[way]));
  const [left, right, low, high] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)];
  const scale = (WIDTH - 2 * EDGE) / Math.max(right - left, (high - low) * 0.7, 1);
  const height = round((high - low) * scale + 2 * EDGE);
  const across = WIDTH / 2 - ((left + right) / 2) * scale;
  const at = ([x, y]) => [across + x * scale, height - EDGE - (y - low) * scale];
  const told = [...stations.values()].filter(({ verdict }) => verdict !== "few");
  const longest = Math.max(0, ...told.map(({ farMm, ellipse }) => farMm + ellipse[0]));
  const factor = FACTORS.find((each) => longest * each * scale <= FARTHEST) ?? 1;
  const found = (mark) => {
    const [x, y] = plan.stations[mark];
    const { off } = stations.get(mark);
    return at([x + off[0] * factor, y + off[1] * factor]);
  };
  const rings = plan.rings.filter((ring) => ring.every((mark) => stations.has(mark)));
  const picture = svg("svg", { viewBox: `0 0 ${WIDTH} ${height}`, role: "img", class: "tape-figure", "aria-label": describe(report) },
    ...plan.outlines.map((points) => svg("polyline", { class: "planned", points: writePoints(points.map(at)) })),
    ...rings.map((ring) => svg("polygon", { class: "found", points: writePoints(ring.map(found)) })),
    ...misreads.map(({ name }) => svg("polyline", { class: "misread", points: writePoints(name.split("-").map((mark) => at(plan.stations[mark]))) })),
    ...[...stations.values()].flatMap((station) => drawStation(station, at(plan.stations[station.mark]), found(station.mark))),
    ...writeMarks(report, found, (mark) => at(plan.stations[mark]), height));
  return [el("figure", {}, picture, el("figcaption", {}, say("Thin: as planned. Dashed: as found, errors drawn {factor} times larger than the plan. The pitcher is at the top.", { factor })),
    el("ul", { class: "legend" }, ...listUsed(report).map(([verdict, words]) => el("li", {}, drawKey(verdict), words))))];
}

function drawStation({ verdict }, planned, found) {
  const far = Math.hypot(planned[0] - found[0], planned[1] - found[1]);
  if (verdict === "few") return [drawVerdict(verdict, planned)];
  const line = far > LEAST_ARROW ? [svg("polyline", { class: "move", points: writePoints([found, planned]) })] : [];
  // An arrow says which way to move it, so only what is to be moved has one.
  const head = far > LEAST_ARROW && verdict === "out" ? [drawHead(planned, Math.atan2(planned[1] - found[1], planned[0] - found[0]))] : [];
  return [...line, ...head, drawVerdict(verdict, found)];
}

function drawHead([x, y], heading) {
  const wing = (turn) => [x - 9 * Math.cos(heading + turn), y - 9 * Math.sin(heading + turn)];
  return svg("polygon", { class: "black", points: writePoints([[x, y], wing(0.4), wing(-0.4)]) });
}

/** A verdict's own shape about a point: the same as on the printed report. */
function drawVerdict(verdict, [x, y]) {
  const shape = (points, name = "white") => svg("polygon", { class: name, points: writePoints(points.map(([dx, dy]) => [x + dx, y + dy])) });
  const dot = (r, name) => svg("circle", { class: name, cx: round(x), cy: round(y), r });
  if (verdict === "good") return dot(3, "white");
  if (verdict === "passes") return svg("g", {}, dot(3.6, "white"), dot(1.4, "black"));
  if (verdict === "out") return shape([[-4, -4], [4, -4], [4, 4], [-4, 4]], "black");
  if (verdict === "again") return shape([[-4, 3], [4, 3], [0, -4.4]]);
  if (verdict === "few") return shape([[0, -4.4], [4.4, 0], [0, 4.4], [-4.4, 0]]);
  return svg("path", { class: "cross", d: `M${round(x - 3)},${round(y)}h6M${round(x)},${round(y - 3)}v6` });
}

const drawKey = (verdict) => svg("svg", { viewBox: "-6 -6 12 12", width: 20, height: 20, "aria-hidden": "true" }, drawVerdict(verdict, [0, 0]));

/** Each mark beside its station, away from the middle; of those that crowd, what needs work is written first. */
function writeMarks({ stations }, found, planned, height) {
  const order = [...stations.values()].sort((a, b) => LEAVES.includes(a.verdict) - LEAVES.includes(b.verdict));
  const points = order.flatMap(({ mark, verdict }) => (LEAVES.includes(verdict) ? [found(mark)] : [found(mark), planned(mark)]));
  const taken = [];
  const isInside = ([a, b]) => a > 12 && a < WIDTH - 12 && b > 10 && b < height - 8;
  const isFree = ([a, b]) => taken.every(([c, d]) => Math.abs(a - c) > 18 || Math.abs(b - d) > 13)
    && points.every(([c, d]) => Math.abs(a - c) > 10 || Math.abs(b - d) > 8);
  return order.flatMap(({ mark, verdict }) => {
    const [x, y] = found(mark);
    const turn = Math.atan2(y - height / 2, x - WIDTH / 2);
    const spots = [0, 1, -1, 2, -2, 3, -3, 4].map((step) => turn + step * 0.75).map((way) => [x + 16 * Math.cos(way), y + 14 * Math.sin(way)]);
    const spot = spots.find((each) => isInside(each) && isFree(each)) ?? (LEAVES.includes(verdict) ? null : spots.find(isInside));
    if (!spot) return [];
    taken.push(spot);
    return [svg("text", { x: round(spot[0]), y: round(spot[1] + 4), class: verdict === "out" ? "strong" : "plain" }, mark)];
  });
}

const listUsed = ({ model, list }) => Object.entries(model.verdicts).filter(([verdict]) => list(verdict).length);

/** The figure in words, for who cannot see it. */
function describe({ model, stations, misreads }) {
  const said = [...stations.values()].filter(({ verdict }) => verdict !== "known").map(({ mark, verdict, off, farMm }) => (
    verdict === "out" ? say("{mark}: off {far}, move it {move}", { mark, far: writeTape(farMm), move: writeMove(model, off) }) : `${mark}: ${model.verdicts[verdict]}`));
  const found = say("The marks as found over the plan, errors magnified. {marks}.", { marks: said.join("; ") });
  return [found, ...misreads.map(({ name }) => say("{pull} is misread.", { pull: name }))].join(" ");
}
