// A sensor compared with the laboratory: the samples, a plot, and the suggested calibration with its uncertainty.

import { analyteName, kindOf, sayLine } from "./analytes.js";
import { header } from "./changes.js";
import { copy, facts, keyed, setAttribute, setOptional, setText, slots } from "./patch.js";
import { drawScatter } from "./scatter.js";
import { sayMoment } from "./times.js";
import { change, count, counted, percent, say, unitOf } from "./units.js";

export function makePairs(parent) {
  const node = copy("pairs-template").firstElementChild;
  parent.append(node);
  return { node, slot: slots(node) };
}

export function showPairs({ node, slot }, answer) {
  node.hidden = false;
  const { analyte, pairs, proposal } = answer;
  const kind = kindOf(analyte);
  const any = pairs.length > 0;
  slot.picture.hidden = slot.samples.hidden = !any;
  setText(slot.laboratory, `Laboratory, ${unitOf(kind)}`);
  setText(slot.sensor, `Sensor's mean, ${unitOf(kind)}`);
  setText(slot.difference, `Laboratory − sensor, ${unitOf(kind)}`);
  if (any) {
    const line = proposal && lineOf(proposal.calibration);
    drawScatter(slot.scatter, { pairs, proposal: line }, kind);
    setAttribute(
      slot.scatter,
      "aria-label",
      `${analyteName(analyte)} of ${counted(pairs.length, "sample")}, laboratory against sensor. The table has the same values. ${sayBias(answer, kind)}`,
    );
    slot.solid.hidden = !line;
  }
  keyed(
    slot.rows,
    pairs,
    (pair) => pair.report,
    makeRow,
    (kept, pair) => patchRow(kept, pair, kind),
  );
  setOptional(slot.unpaired, answer.unpaired.map(({ report, reason }) => `${report}: ${reason}`).join(" "));
  facts(slot.facts, [
    ["Mean difference", answer.bias === null ? null : sayBias(answer, kind)],
    ["Test", answer.test],
    [
      "Not significant up to",
      answer.biasLimit === null ? null : `±${say(kind, answer.biasLimit)}, at ${percent(answer.biasLevel)}`,
    ],
    [
      "Standard error of prediction",
      answer.standardErrorOfPrediction === null
        ? null
        : `±${say(kind, answer.standardErrorOfPrediction)}, one standard deviation`,
    ],
    [
      "Slope, laboratory over sensor",
      answer.slope === null
        ? null
        : `${count(answer.slope, 3)} ± ${count(answer.slopeStandardError, 3)}; ${answer.slopeDiffersFromOne ? "significant" : "no significant"} slope error`,
    ],
    [
      "Read outside the samples' range",
      answer.readings === null
        ? null
        : `${percent(answer.readings.shareOutside)} of the volume to correct; range ${say(kind, answer.readings.low)} to ${say(kind, answer.readings.high)}`,
    ],
    ["Suggested", proposal ? sayProposal(proposal, kind) : any ? "no correction" : null],
  ]);
  keyed(
    slot.warnings,
    answer.warnings,
    (text) => text,
    () => ({ node: document.createElement("li") }),
    ({ node: item }, text) => setText(item, text),
  );
  slot.warnings.hidden = answer.warnings.length === 0;
  setOptional(slot.rule, answer.rule && sayRule(answer.rule, kind));
}

// A rule uses the units of the farm file. Contents are formatted from mg/L, dry matter from ppm.
const perUnit = { "g/L": 1_000, "%": 10_000 };

/** The farm's adoption rule: whether it is on, its limits, and what is missing. */
function sayRule({ isOn, pairsMin, standardErrorMax, standardErrorUnit, isFulfilled, lacking }, kind) {
  const does = isOn ? "is on: it adopts the suggestion when a report arrives" : "is off";
  const limits = `It needs ${count(pairsMin)} pairs and a standard error up to ±${say(kind, standardErrorMax * perUnit[standardErrorUnit])}`;
  const state = isFulfilled ? "All conditions are met." : `Missing: ${lacking.join(" ")}`;
  return `The farm's rule ${does}. ${limits}. ${state}`;
}

const lineOf = ({ slope, interceptMilligramsPerLitre, interceptPartsPerMillion }) => ({
  slope: slope ?? 1,
  intercept: interceptMilligramsPerLitre ?? interceptPartsPerMillion ?? 0,
});

function sayBias({ bias, pairs }, kind) {
  const than = bias < 0 ? "more than" : "less than";
  return `the sensor reads ${say(kind, Math.abs(bias))} ${than} the laboratory (mean of ${count(pairs.length)})`;
}

function sayProposal({ calibration, slopeStandardError, interceptStandardError }, kind) {
  const errors = [
    slopeStandardError === null ? "" : `slope ±${count(slopeStandardError, 3)}`,
    interceptStandardError === null ? "" : `intercept ±${say(kind, interceptStandardError)}`,
  ].filter(Boolean);
  const uncertain = errors.length > 0 ? ` (standard errors: ${errors.join(", ")})` : " (uncertainty unknown)";
  return `${sayLine(calibration)}${uncertain}, from ${sayMoment(calibration.validFrom)} on`;
}

function makeRow({ report }) {
  const node = document.createElement("tr");
  const cells = [1, 2, 3, 4].map(() => document.createElement("td"));
  node.append(header(report, "row"), ...cells);
  return { node, cells };
}

function patchRow({ cells }, { from, laboratory, sensor }, kind) {
  const texts = [sayMoment(from), say(kind, laboratory), say(kind, sensor), change(kind, sensor, laboratory)];
  // The unit is in the column's header.
  for (const [place, text] of texts.entries()) setText(cells[place], place === 0 ? text : text.split("\u00a0")[0]);
}
