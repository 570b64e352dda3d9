// Names and units of the analytes that laboratory and sensor both measure.
import { count, say } from "./units.js";

const analytes = {
  totalNitrogen: ["Total nitrogen", "content"],
  ammoniumNitrogen: ["Ammonium nitrogen", "content"],
  phosphorus: ["Phosphorus (P)", "content"],
  potassium: ["Potassium (K)", "content"],
  dryMatter: ["Dry matter", "dryness"],
};

export const allAnalytes = Object.keys(analytes);
export const analyteName = (analyte) => analytes[analyte]?.[0] ?? analyte;
export const kindOf = (analyte) => analytes[analyte]?.[1] ?? "content";

/** A calibration line, such as "1.043 × reading + 0.12 kg/m³". */
export function sayLine({ analyte, slope, interceptMilligramsPerLitre, interceptPartsPerMillion }) {
  const intercept = (analyte === "dryMatter" ? interceptPartsPerMillion : interceptMilligramsPerLitre) ?? 0;
  const reading = slope === null || slope === 1 ? "reading" : `${count(slope, 3)} × reading`;
  if (intercept === 0) return reading;
  return `${reading} ${intercept < 0 ? "−" : "+"} ${say(kindOf(analyte), Math.abs(intercept))}`;
}
