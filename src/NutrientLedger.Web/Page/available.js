import { percent, say } from "./units.js";

const nutrients = [
  ["nitrogen", "N"],
  ["p2o5", "P₂O₅"],
  ["k2o", "K₂O"],
];

/**
 * Nutrients available to a crop by the farm's factor set, with set, scheme and the share of volume they are known for.
 */
export function availableFacts(availability, isSpread) {
  if (!availability || !isSpread) return [];
  const { set, scheme, nitrogen } = availability;
  const share = nitrogen.shareOfVolume === null ? "" : `, known for ${percent(nitrogen.shareOfVolume)} of the volume`;
  return [
    ["Available this season", nutrients.map(([key, sign]) => sayAmount(availability[key], sign)).join("; ")],
    ["Carry-over N", sayAmount(availability.carriedOverNitrogen, "N")],
    ["Available N by", `${set} factors (${scheme ?? "unknown scheme"})${share}`],
  ];
}

const sayAmount = ({ kilograms, atLeast, reason }, sign) =>
  kilograms === null ? `${sign} unknown (${reason})` : `${atLeast ? "at least " : ""}${say("mass", kilograms)} ${sign}`;
