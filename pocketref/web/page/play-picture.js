// The picture of a play from its lines and words.

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
