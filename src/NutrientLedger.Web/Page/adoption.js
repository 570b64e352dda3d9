// The suggested calibration, with a form to adopt it, or a note that it is already adopted.

import { farmAddress, send } from "./ask.js";
import { isAdopted } from "./calibrations.js";
import { makeDecision } from "./decision.js";
import { setOptional } from "./patch.js";
import { dayOf, startOfDay } from "./times.js";

const at = (id) => document.getElementById(id);
let decision = null;
let offered = "";
let version = -1;

/** Shows the form for a suggestion, or hides it when there is none or it is in force. */
export function offerAdoption({ farm, configurationVersion }, suggested, calibrations, { names, done }) {
  const same = suggested ? calibrations.filter((one) => isAdopted(one) && isSameLine(one, suggested)) : [];
  const isInForce = same.some((one) => holdsThroughout(one, suggested, calibrations));
  const calibration = suggested && !isInForce ? suggested : null;
  const adopted = isInForce ? "is in force (see below)" : "is adopted for some times or pits (see below)";
  setOptional(at("lab-in-force"), same.length > 0 ? `The suggestion ${adopted}.` : null);
  at("lab-adoption").hidden = !calibration;
  const key = calibration ? JSON.stringify([farm, calibration, calibrations.length]) : "";
  if (offered !== key) {
    offered = key;
    decision = calibration && makeAdoption(farm, calibration, calibrations, { names, done });
    at("lab-adopt").replaceChildren(...(decision ? [decision.form] : []));
  } else if (version !== configurationVersion) decision?.forget();
  version = configurationVersion;
}

function makeAdoption(farm, calibration, calibrations, { names, done }) {
  const address = farmAddress(farm, "calibrations");
  const question = ({ by, reason, until }) => ({
    ...calibration,
    calibration: freshId(calibration.calibration, calibrations),
    validTo: until ? startOfDay(until) : null,
    by,
    reason: reason || calibration.reason,
  });
  return makeDecision({
    label: `Adopt ${calibration.calibration}`,
    verb: "Adopt",
    reason: calibration.reason,
    until: calibration.validTo ? dayOf(new Date(calibration.validTo)) : "",
    preview: (given) => send(`${address}/preview`, question(given)),
    decide: (given) => send(address, question(given)),
    names,
    done,
  });
}

/** An id is never used again, even after a withdrawal. */
function freshId(id, calibrations) {
  const taken = new Set(calibrations.map(({ calibration }) => calibration));
  for (let again = 1; ; again++) {
    const fresh = again === 1 ? id : `${id}-${again}`;
    if (!taken.has(fresh)) return fresh;
  }
}

/** Whether two calibrations have the same line for the same sensor and analyte, for any time and pit. */
const isSameLine = (one, other) =>
  ["sensor", "analyte", "slope", "interceptMilligramsPerLitre", "interceptPartsPerMillion"].every(
    (part) => (one[part] ?? defaults[part]) === (other[part] ?? defaults[part]),
  );

// Defaults of the properties that a request may leave out.
const defaults = { slope: 1, interceptMilligramsPerLitre: 0, interceptPartsPerMillion: 0 };

/**
 * Whether an adopted calibration holds for every pit and time of the suggestion: no later one, nor one for a single
 * pit, takes precedence.
 */
const holdsThroughout = (one, suggested, calibrations) =>
  one.pit === null &&
  one.validTo === null &&
  Date.parse(one.validFrom) <= Date.parse(suggested.validFrom) &&
  calibrations
    .filter((other) => isAdopted(other) && other.sensor === one.sensor && other.analyte === one.analyte)
    .every((other) => other.pit === null && other.position <= one.position);
