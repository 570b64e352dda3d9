// The part of the page for laboratory and sensor: pairs, what they suggest, and what was decided by them.
import { setOptional, setText } from "./patch.js";
import { ask, farmAddress, send } from "./ask.js";
import { allAnalytes, analyteName } from "./analytes.js";
import { makeDecision } from "./decision.js";
import { makePairs, showPairs } from "./pairs.js";
import { showCalibrations } from "./calibrations.js";
import { dayOf, startOfDay } from "./times.js";
import { showStatements, statementsAfter } from "./statements.js";

// A statement is made by the hub a moment after its correction is posted.
const statementPatience = 30;
const at = (id) => document.getElementById(id);

export function makeLaboratory() {
  let sheet = null;
  let asked = "";
  let known = { sensors: [], analytes: [], calibrations: [], statements: [], pairs: null };
  const pairs = makePairs(at("lab-pairs"));

  const nameOf = (field) => (field === null ? "Outside all fields" : (sheet.fields.find((one) => one.field === field)?.name ?? field));

  /** What the register says is asked for again when it has grown. */
  async function refresh() {
    const { farm } = sheet;
    try {
      const [register, lab, calibrations] = await Promise.all(
        ["register", "lab-results", "calibrations"].map((part) => ask(farmAddress(farm, part))),
      );
      const statements = await statementsAfter(farm, known.farm === farm ? known.statements : []);
      if (sheet.farm !== farm) return;
      const mounted = register.entries.map(({ entry }) => entry).filter((entry) => entry.sensorId && entry.place && entry.place !== "inPit");
      const reported = new Set(lab.reports.flatMap(({ values }) => values.map(({ analyte }) => analyte)));
      known = {
        ...known,
        farm,
        sensors: [...new Set(mounted.map(({ sensorId }) => sensorId))],
        analytes: allAnalytes.filter((analyte) => reported.has(analyte)),
        calibrations: calibrations.calibrations,
        statements,
      };
      offer(at("lab-sensor"), known.sensors, (sensor) => sensor);
      offer(at("lab-analyte"), known.analytes, analyteName);
      await compare();
    } catch (trouble) {
      // Asked again with the next sheet or the next look at the clock.
      asked = "";
      setOptional(at("lab-trouble"), trouble.message);
    }
  }

  async function compare() {
    const [sensor, analyte] = [at("lab-sensor").value, at("lab-analyte").value];
    at("lab-choices").hidden = !sensor || !analyte;
    if (!sensor || !analyte) {
      known.pairs = null;
    } else {
      const query = new URLSearchParams({ sensor, analyte });
      const answer = await ask(farmAddress(sheet.farm, `lab-results/pairs?${query}`));
      if (at("lab-sensor").value !== sensor || at("lab-analyte").value !== analyte) return;
      known.pairs = answer;
    }
    setOptional(at("lab-trouble"), null);
    offerAdoption();
    render();
  }

  function offerAdoption() {
    const form = at("lab-adopt");
    const suggested = known.pairs?.proposal?.calibration;
    const isInForce = suggested && known.calibrations.some((one) => one.withdrawnBy === null && isSameLine(one, suggested));
    const calibration = isInForce ? null : suggested;
    at("lab-in-force").hidden = !isInForce;
    at("lab-adoption").hidden = !calibration;
    const key = calibration ? JSON.stringify([sheet.farm, calibration, known.calibrations.length]) : "";
    if (form.offered === key) return;
    form.offered = key;
    form.replaceChildren();
    if (!calibration) return;
    const address = farmAddress(sheet.farm, "calibrations");
    const question = ({ by, why, until }) => ({
      ...calibration,
      calibration: freshId(calibration.calibration),
      validTo: until ? startOfDay(until) : null,
      adoptedBy: by,
      why: why || calibration.why,
    });
    form.append(
      makeDecision({
        label: `Adopt ${calibration.calibration}`,
        verb: "Adopt it",
        why: calibration.why,
        until: calibration.validTo ? dayOf(new Date(calibration.validTo)) : "",
        preview: async (given) => (await send(`${address}/preview`, question(given))).changes,
        decide: async (given) => (await send(address, question(given))).changes,
        nameOf,
        done: () => decided("Adopted. The balances above follow; its statement appears below in a moment."),
      }),
    );
  }

  /** An id is used once for ever, also by what was withdrawn. */
  function freshId(id) {
    const taken = new Set(known.calibrations.map(({ calibration }) => calibration));
    for (let again = 1; ; again++) {
      const fresh = again === 1 ? id : `${id}-${again}`;
      if (!taken.has(fresh)) return fresh;
    }
  }

  async function decided(words) {
    setText(at("lab-done"), words);
    // The form is gone in a moment; what came of it is read out, and the keyboard goes on from there.
    at("lab-done").focus();
    const before = known.statements.length;
    for (let tries = 0; tries < statementPatience && known.statements.length === before; tries++) {
      await refresh();
      await new Promise((goOn) => setTimeout(goOn, 1_000));
    }
  }

  function render() {
    at("lab-none").hidden = known.analytes.length > 0;
    if (known.pairs) showPairs(pairs, known.pairs);
    else pairs.node.hidden = true;
    showCalibrations(at("calibrations"), sheet.farm, known.calibrations, {
      nameOf,
      done: () => decided("Withdrawn. The balances above follow; its statement appears below in a moment."),
    });
    at("no-calibrations").hidden = known.calibrations.length > 0;
    showStatements(at("statements"), at("no-statements"), sheet.farm, known.statements);
  }

  for (const choice of ["lab-sensor", "lab-analyte"])
    at(choice).addEventListener("change", () => compare().catch((trouble) => setOptional(at("lab-trouble"), trouble.message)));

  return {
    show(next) {
      sheet = next;
      const wanted = `${sheet.farm}/${sheet.registerPlace}`;
      if (asked !== wanted) {
        asked = wanted;
        refresh();
      } else if (known.farm === sheet.farm) render();
    },
  };
}

/** Offers choices and keeps the one that was made, if it is still there. */
function offer(select, values, nameOf) {
  if ([...select.options].map(({ value }) => value).join() === values.join()) return;
  const chosen = select.value;
  select.replaceChildren(...values.map((value) => new Option(nameOf(value), value)));
  if (values.includes(chosen)) select.value = chosen;
}

/** Whether two calibrations say the same of a sensor, for whatever time. */
const isSameLine = (one, other) =>
  ["sensor", "analyte", "slope", "interceptMilligramsPerLitre", "interceptPartsPerMillion"].every((part) => one[part] === other[part]);
