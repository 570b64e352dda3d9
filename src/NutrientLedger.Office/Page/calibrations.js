// The calibrations ever adopted, newest first: what each says, who adopted it and why, and a form to take it back.
import { copy, keyed, setAttribute, setOptional, setText, slots } from "./patch.js";
import { farmAddress, send } from "./ask.js";
import { analyteName, sayLine } from "./analytes.js";
import { makeDecision } from "./decision.js";
import { sayMoment } from "./times.js";

const notYet = "not decided yet";

export function showCalibrations(list, farm, calibrations, { nameOf, done }) {
  const make = ({ calibration }) => {
    const node = copy("calibration-template").firstElementChild;
    const slot = slots(node);
    const address = farmAddress(farm, `calibrations/${encodeURIComponent(calibration)}/withdraw`);
    const withdrawal = ({ by, why }) => ({ withdrawnBy: by || notYet, why: why || notYet });
    slot.withdraw.append(
      makeDecision({
        label: `Withdraw ${calibration}`,
        verb: "Withdraw it",
        why: "",
        preview: async (given) => (await send(`${address}/preview`, withdrawal(given))).changes,
        decide: async (given) => (await send(address, withdrawal(given))).changes,
        nameOf,
        done,
      }),
    );
    return { node, slot };
  };
  keyed(list, [...calibrations].reverse(), ({ calibration }) => `${farm}/${calibration}`, make, patch);
}

function patch({ node, slot }, calibration) {
  const { analyte, sensor, validFrom, validTo, pit } = calibration;
  setText(slot.what, `${analyteName(analyte)} by ${sensor} is ${sayLine(calibration)}`);
  const where = pit ? `, only from ${pit}` : "";
  setText(slot.when, `From ${sayMoment(validFrom)} ${validTo ? `to ${sayMoment(validTo)}` : "until further notice"}${where}.`);
  setText(slot.why, `Adopted by ${calibration.adoptedBy}, ${sayMoment(calibration.recordedAt)}: ${calibration.why}`);
  const isWithdrawn = calibration.withdrawnBy !== null;
  setOptional(slot.withdrawn, isWithdrawn ? `Withdrawn by ${calibration.withdrawnBy}: ${calibration.withdrawnWhy}` : null);
  slot.withdraw.hidden = isWithdrawn;
  setAttribute(node, "data-withdrawn", isWithdrawn ? "yes" : "no");
}
