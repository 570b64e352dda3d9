import { say } from "./units.js";

/** A row with what was spread inside no-spread zones and a caution; no value when nothing was. */
export const zoneFact = (inside) => ["In no-spread zones", inside && sayInside(inside)];

function sayInside({ volumeCubicMetres, totalNitrogenKilograms, p2o5Kilograms, atLeast, caution }) {
  const nutrients = `${say("mass", totalNitrogenKilograms)} N, ${say("mass", p2o5Kilograms)} P₂O₅`;
  return `${say("volume", volumeCubicMetres)} (${atLeast ? "at least " : ""}${nutrients}). ${caution}`;
}
