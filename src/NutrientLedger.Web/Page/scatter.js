// Laboratory over sensor, one dot per sample, on equal scales. On the dashed line both agree; the solid line is the
// proposed calibration.
import { count, inUnit, unitOf } from "./units.js";

const svgSpace = "http://www.w3.org/2000/svg";
const [wide, high, left, bottom, edge, top] = [360, 342, 46, 44, 12, 24];
const ticksAbout = 4;
const steps = [1, 2, 5, 10];

const shape = (name, attributes, text) => {
  const node = document.createElementNS(svgSpace, name);
  for (const [key, value] of Object.entries(attributes)) node.setAttribute(key, value);
  if (text) node.textContent = text;
  return node;
};

export function drawScatter(svg, { pairs, proposal }, kind) {
  svg.replaceChildren();
  svg.setAttribute("viewBox", `0 0 ${wide} ${high}`);
  const dots = pairs.map(({ sensor, laboratory, report }) => [inUnit(kind, sensor), inUnit(kind, laboratory), report]);
  const [min, max] = range(dots.flatMap(([x, y]) => [x, y]));
  const span = max - min;
  const x = (value) => left + ((value - min) / span) * (wide - left - edge);
  const y = (value) => high - bottom - ((value - min) / span) * (high - bottom - top);
  const frame = { class: "frame", x: left, y: top, width: wide - left - edge, height: high - bottom - top };
  svg.append(shape("rect", frame));
  const { values, digits } = ticks(min, max);
  for (const value of values) {
    svg.append(
      shape("line", { class: "tick", x1: x(value), x2: x(value), y1: high - bottom, y2: high - bottom + 5 }),
      shape("text", { x: x(value), y: high - bottom + 17, "text-anchor": "middle" }, count(value, digits)),
      shape("line", { class: "tick", x1: left - 5, x2: left, y1: y(value), y2: y(value) }),
      shape("text", { x: left - 8, y: y(value) + 4, "text-anchor": "end" }, count(value, digits)),
    );
  }
  svg.append(
    shape("text", { x: left, y: top - 9, class: "axis" }, `laboratory, ${unitOf(kind)}`),
    shape(
      "text",
      { x: wide - edge, y: high - 8, class: "axis", "text-anchor": "end" },
      `sensor, uncalibrated, ${unitOf(kind)}`,
    ),
    line("agree", 1, 0),
  );
  if (proposal) svg.append(line("proposed", proposal.slope, inUnit(kind, proposal.intercept)));
  for (const [across, up, report] of dots) {
    const dot = shape("circle", { class: "sample", cx: x(across), cy: y(up), r: 4.5 });
    dot.append(shape("title", {}, report));
    svg.append(dot);
  }

  /** The part of a line inside the frame. */
  function line(name, slope, intercept) {
    const ends = [min, max].map((from) => {
      const up = Math.min(Math.max(slope * from + intercept, min), max);
      return [slope === 0 ? from : (up - intercept) / slope, up];
    });
    const [[fromX, fromY], [toX, toY]] = ends;
    return shape("line", { class: name, x1: x(fromX), y1: y(fromY), x2: x(toX), y2: y(toY) });
  }
}

/** The range of all values with a margin, also around a single value. */
function range(values) {
  const [min, max] = [Math.min(...values), Math.max(...values)];
  const room = (max - min) * 0.12 || Math.abs(max) * 0.1 || 1;
  return [min - room, max + room];
}

function ticks(min, max) {
  const rough = (max - min) / ticksAbout;
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = steps.find((one) => one * power >= rough) * power;
  const values = [];
  for (let value = Math.ceil(min / step) * step; value <= max; value += step) values.push(value);
  return { values, digits: step >= 1 ? 0 : step >= 0.1 ? 1 : 2 };
}
