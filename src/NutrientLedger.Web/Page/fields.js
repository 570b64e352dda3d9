import { availableFacts } from "./available.js";
import { makeGauge, setGauge } from "./gauge.js";
import { copy, facts, keyed, setAttribute, setOptional, setText, slots } from "./patch.js";
import { drawSketch } from "./sketch.js";
import { sayMoment } from "./times.js";
import { percent, say, sayPerArea } from "./units.js";
import { zoneFact } from "./zones.js";

const nutrients = [
  ["nitrogen", "Nitrogen", "N"],
  ["p2o5", "Phosphate", "P₂O₅"],
  ["k2o", "Potash", "K₂O"],
];

// Smaller overlaps, in m², are not shown.
const worthSaying = 250;
// A field is shown as being spread for so many ms after its volume changed.
const movingFor = 60_000;

export function showFields(parent, fields, outlines) {
  keyed(parent, fields, keyOf, makeField, (kept, field) => {
    patchField(kept, field);
    const outline = outlines.get(field.field);
    if (outline && kept.drawn !== outline) drawSketch(kept.sketch, outline);
    kept.drawn = outline;
  });
}

const keyOf = ({ farm, field, name, season }) => `${farm}/${field}/${name}/${season}`;

function makeField(field) {
  const node = copy("field-template").firstElementChild;
  const slot = slots(node);
  slot.name.id = `field-${field.field}`;
  node.setAttribute("aria-labelledby", slot.name.id);
  const rows = nutrients.map(([key, word, sign]) => makeNutrient(slot.nutrients, key, word, sign, field.name));
  return { node, slot, rows, account: node.querySelector(".account"), sketch: node.querySelector(".sketch") };
}

function makeNutrient(body, key, word, sign, fieldName) {
  const rows = copy("nutrient-template");
  const slot = slots(rows);
  const [amounts, bar] = rows.children;
  const gauge = makeGauge(`${word} (${sign}) on ${fieldName} against the plan`, key);
  bar.firstElementChild.append(gauge.node);
  slot.label.textContent = `${word} (${sign})`;
  body.append(rows);
  return { slot, amounts, bar, gauge, key };
}

function patchField(kept, field) {
  const { slot } = kept;
  if (kept.volume !== undefined && kept.volume !== field.volumeCubicMetres) kept.movedAt = Date.now();
  kept.volume = field.volumeCubicMetres;
  setOptional(slot.moving, Date.now() - kept.movedAt < movingFor ? "Readings are arriving" : null);
  setOptional(slot.correcting, field.isBeingCorrected ? "Correction in progress" : null);
  setText(slot.name, field.name);
  const area = field.fieldSquareMetres;
  setText(
    slot.meta,
    `${field.crop ?? "no plan this season"} · ${area ? say("area", area) : "no boundary this season"}`,
  );
  // A field without plan and manure has no balance to show, only its name.
  kept.account.hidden = field.crop === null && field.volumeCubicMetres === 0;
  for (const row of kept.rows)
    patchNutrient(row, field[row.key], area, row.key === "nitrogen" && field.nitrogenBasis === "available");
  setOptional(slot.note, field.notes.join(" "));
  const covered = field.coveredSquareMetres;
  facts(slot.facts, [
    ["Spread", say("volume", field.volumeCubicMetres)],
    ["Ground covered", covered > 0 && area ? `${say("area", covered)} (${percent(covered / area)})` : "none yet"],
    [
      "Covered again within days",
      field.overlappedSquareMetres > worthSaying ? say("area", field.overlappedSquareMetres) : null,
    ],
    [
      "Rate while spreading",
      field.cubicMetresPerHectareTravelled === null
        ? null
        : say("volumePerArea", field.cubicMetresPerHectareTravelled / 10000),
    ],
    [
      "Content unknown",
      field.withoutCompositionCubicMetres > 0 ? say("volume", field.withoutCompositionCubicMetres) : null,
    ],
    zoneFact(field.inNoSpreadZones),
    ["Pumped with tool raised", field.disengagedCubicMetres > 0 ? say("volume", field.disengagedCubicMetres) : null],
    ...availableFacts(field.availability, field.volumeCubicMetres > 0),
    ["Questionable readings", sayFlagged(field)],
    ["Last reading", field.lastMeasuredAt ? sayMoment(field.lastMeasuredAt) : "none yet"],
  ]);
}

// The flagged share, then the parts by rule.
function sayFlagged({ flagged }) {
  const any = flagged.find(({ rule }) => rule === "any");
  const reasons = flagged
    .filter(({ rule }) => rule !== "any")
    .map((part) => `${part.description}: ${say("volume", part.volumeCubicMetres)}`);
  if (reasons.length === 0) return null;
  if (!any) return reasons.join("; ");
  const nitrogen = any.shareOfTotalNitrogen === null ? "" : `, ${percent(any.shareOfTotalNitrogen)} of its nitrogen`;
  return `${percent(any.shareOfVolume)} of the volume${nitrogen} (${reasons.join("; ")})`;
}

function patchNutrient(row, nutrient, area, inAvailable) {
  const { slot } = row;
  const atLeast = nutrient.atLeast ? "at least " : "";
  setText(slot.spread, atLeast + sayPerArea(nutrient.spreadKilograms, area));
  const counted = nutrient.countedKilograms;
  const ofIt = counted === null ? "" : `, ${say("mass", counted)} available`;
  setText(slot.spreadTotal, say("mass", nutrient.spreadKilograms) + (inAvailable ? ` total${ofIt}` : ""));
  const allowed = nutrient.allowedKilograms;
  setText(slot.allowed, allowed === null ? "no limit set" : sayPerArea(allowed, area));
  setText(slot.allowedTotal, allowed === null ? "" : say("mass", allowed) + (inAvailable ? " available" : ""));
  const remaining = nutrient.remainingKilograms;
  const over = remaining !== null && remaining < 0;
  row.amounts.classList.toggle("is-over", over);
  row.bar.hidden = remaining === null;
  if (remaining === null) {
    setText(slot.remaining, allowed === null ? "–" : "not known");
    setText(slot.remainingTotal, "");
    setText(slot.used, "");
    return;
  }
  const share = nutrient.shareOfPlan;
  const atMost = nutrient.atLeast && !over ? "at most " : "";
  setText(
    slot.remaining,
    over ? `OVER by ${atLeast}${sayPerArea(-remaining, area)}` : atMost + sayPerArea(remaining, area),
  );
  setText(slot.remainingTotal, say("mass", Math.abs(remaining)));
  setText(slot.used, share === null ? "nothing allowed" : `${atLeast}${percent(share)} of plan`);
  setGauge(
    row.gauge,
    share ?? (over ? 2 : 0),
    `${atLeast}${sayPerArea(counted, area)} ${inAvailable ? "available" : "spread"} of ${slot.allowed.textContent} allowed, ${slot.remaining.textContent} remaining`,
  );
  setAttribute(row.gauge.node, "data-over", over ? "yes" : "no");
}
