// A small drawing of a field's outline, to recognise the field by its shape.
import { setAttribute } from "./patch.js";

const size = 48;

/** Draws rings of [longitude, latitude] into a square. Longitudes are scaled by the cosine of the middle latitude. */
export function drawSketch(svg, rings) {
  const points = rings.flat();
  if (points.length === 0) return;
  const middle = ((Math.min(...points.map((p) => p[1])) + Math.max(...points.map((p) => p[1]))) / 2) * (Math.PI / 180);
  const flat = rings.map((ring) => ring.map(([longitude, latitude]) => [longitude * Math.cos(middle), -latitude]));
  const [xs, ys] = [0, 1].map((axis) => flat.flat().map((point) => point[axis]));
  const [west, north] = [Math.min(...xs), Math.min(...ys)];
  const [wide, high] = [Math.max(...xs) - west, Math.max(...ys) - north];
  const scale = (size - 4) / Math.max(wide, high);
  const place = ([x, y]) =>
    `${(2 + (x - west) * scale + (size - 4 - wide * scale) / 2).toFixed(1)} ${(2 + (y - north) * scale + (size - 4 - high * scale) / 2).toFixed(1)}`;
  const path = flat.map((ring) => `M${ring.map(place).join("L")}Z`).join("");
  if (!svg.firstElementChild) svg.append(document.createElementNS("http://www.w3.org/2000/svg", "path"));
  setAttribute(svg, "viewBox", `0 0 ${size} ${size}`);
  setAttribute(svg.firstElementChild, "fill-rule", "evenodd");
  setAttribute(svg.firstElementChild, "d", path);
}
