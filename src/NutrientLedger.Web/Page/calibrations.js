// All calibrations, newest first: the line, who adopted it and why, and a form to withdraw it.

import { analyteName, sayLine } from "./analytes.js";
import { farmAddress, send } from "./ask.js";
import { makeDecision } from "./decision.js";
import { copy, keyed, setAttribute, setOptional, setText, slots } from "./patch.js";
import { sayMoment } from "./times.js";

const notYet = "not set";

export function showCalibrations(list, { farm, configurationVersion }, calibrations, { names, done }) {
  const make = ({ calibration }) => {
    const node = copy("calibration-template").firstElementChild;
    const slot = slots(node);
    const address = farmAddress(farm, `calibrations/${encodeURIComponent(calibration)}/withdraw`);
    const withdrawal = ({ by, reason }) => ({ by: by || notYet, reason: reason || notYet });
    const decision = makeDecision({
      label: `Withdraw ${calibration}`,
      verb: "Withdraw",
      reason: "",
      preview: (given) => send(`${address}/preview`, withdrawal(given)),
      decide: (given) => send(address, withdrawal(given)),
      names,
      done,
    });
    slot.withdraw.append(decision.form);
    return { node, slot, decision, version: configurationVersion };
  };
  // All adoptions of one rule have the same id, so the position is the key.
  const keyOf = ({ position }) => `${farm}/${position}`;
  keyed(list, [...calibrations].reverse(), keyOf, make, (kept, calibration) => {
    if (kept.version !== configurationVersion) kept.decision.forget();
    kept.version = configurationVersion;
    patch(kept, calibration, calibrations);
  });
}

function patch({ node, slot }, calibration, calibrations) {
  const { analyte, sensor, validFrom, validTo, pit } = calibration;
  setText(slot.what, `${analyteName(analyte)} by ${sensor} is ${sayLine(calibration)}`);
  const where = pit ? `, only from ${pit}` : "";
  setText(slot.when, `From ${sayMoment(validFrom)} ${validTo ? `to ${sayMoment(validTo)}` : "on"}${where}.`);
  setText(slot.reason, `Adopted by ${calibration.by}, ${sayMoment(calibration.recordedAt)}: ${calibration.reason}`);
  setOptional(slot.ended, ended(calibration, calibrations));
  const isOver = !isAdopted(calibration);
  slot.withdraw.hidden = isOver;
  setAttribute(node, "data-over", isOver ? "yes" : "no");
}

/** Whether a calibration is in force: neither withdrawn nor replaced by a later one with its id. */
export const isAdopted = ({ withdrawnBy, replacedBy }) => withdrawnBy === null && replacedBy === null;

function ended({ replacedBy, withdrawnBy, withdrawnReason }, calibrations) {
  if (replacedBy !== null) {
    const next = calibrations.find(({ position }) => position === replacedBy);
    return `Replaced ${next ? sayMoment(next.recordedAt) : `at journal position ${replacedBy}`}.`;
  }
  return withdrawnBy === null ? null : `Withdrawn by ${withdrawnBy}: ${withdrawnReason}`;
}
