// A bar that shows how much of a limit is used. What exceeds the limit is coloured and hatched, so that it is visible
// in print and to everyone. It is SVG, so it needs no inline style and scales in print.
import { setAttribute } from "./patch.js";

const svgSpace = "http://www.w3.org/2000/svg";
// The bar ends at 1.25 times the limit; more is only in the text.
const max = 1.25;
const width = 1000;
const limitAt = width / max;
let made = 0;

const shape = (name, attributes) => {
  const node = document.createElementNS(svgSpace, name);
  for (const [key, value] of Object.entries(attributes)) node.setAttribute(key, value);
  return node;
};

export function makeGauge(label, tone) {
  const node = document.createElement("div");
  node.className = `meter tone-${tone}`;
  node.setAttribute("role", "meter");
  node.setAttribute("aria-label", label);
  node.setAttribute("aria-valuemin", "0");
  node.setAttribute("aria-valuemax", "100");
  const hatch = `hatch-${++made}`;
  const svg = shape("svg", {
    viewBox: `0 0 ${width} 24`,
    preserveAspectRatio: "none",
    "aria-hidden": "true",
    focusable: "false",
  });
  const pattern = shape("pattern", {
    id: hatch,
    width: 12,
    height: 12,
    patternUnits: "userSpaceOnUse",
    patternTransform: "rotate(45)",
  });
  pattern.append(
    shape("rect", { class: "hatch-ground", width: 12, height: 12 }),
    shape("rect", { class: "hatch-line", width: 5, height: 12 }),
  );
  const used = shape("rect", { class: "used", y: 3, height: 18, width: 0 });
  const over = shape("rect", { class: "over", x: limitAt, y: 3, height: 18, width: 0, fill: `url(#${hatch})` });
  const track = shape("rect", { class: "track", y: 3, height: 18, width: limitAt });
  const limit = shape("rect", { class: "limit", x: limitAt - 2, y: 0, height: 24, width: 4 });
  svg.append(pattern, track, used, over, limit);
  node.append(svg);
  return { node, used, over };
}

/** Sets the bar to a share of the limit (1 is the limit), with the same in words. */
export function setGauge(gauge, share, words) {
  const shown = Math.min(Math.max(share, 0), max);
  setAttribute(gauge.used, "width", (Math.min(shown, 1) * limitAt).toFixed(1));
  setAttribute(gauge.over, "width", (Math.max(shown - 1, 0) * limitAt).toFixed(1));
  setAttribute(gauge.node, "aria-valuenow", Math.min(Math.round(share * 100), 100));
  setAttribute(gauge.node, "aria-valuetext", words);
}
