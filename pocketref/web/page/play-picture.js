// The picture of a play from its lines and words, and which bases are held.

const SVG = "http://www.w3.org/2000/svg";

function draw(kind, attributes, words = "") {
  const node = document.createElementNS(SVG, kind);
  for (const [name, value] of Object.entries(attributes)) node.setAttribute(name, value);
  node.textContent = words;
  return node;
}

/** An image as large as its room allows; lines are [their look's place, path data], words carry their own attributes. */
export function drawPicture({ size: [width, height], alt, drawn }, looks) {
  const svg = draw("svg", { viewBox: `0 0 ${width} ${height}`, role: "img", "aria-label": alt, "stroke-miterlimit": "10" });
  svg.append(...drawn.map((item) => {
    if (Array.isArray(item)) return draw("path", { ...looks[item[0]], d: item[1] });
    const { say, ...attributes } = item;
    return draw("text", attributes, say);
  }));
  return svg;
}

const SPOTS = { first: [19, 12], second: [12, 5], third: [5, 12], home: [12, 19] };

/** The bases as a diamond, those with a runner black and larger; what it shows is said beside it. */
export function drawBases(held) {
  const svg = draw("svg", { class: "bases", viewBox: "0 0 24 24", "aria-hidden": "true" });
  svg.append(...Object.entries(SPOTS).map(([name, [x, y]]) => {
    const isHeld = held.includes(name);
    const half = isHeld ? 4 : 2.5;
    return draw("path", { d: `M${x - half} ${y}l${half} ${-half} ${half} ${half} ${-half} ${half}Z`, class: isHeld ? "held" : "" });
  }));
  return svg;
}
