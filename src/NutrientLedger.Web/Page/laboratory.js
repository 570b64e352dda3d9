// The part of the page for laboratory and sensor: pairs, what they suggest, and what was decided by them.

import { offerAdoption } from "./adoption.js";
import { allAnalytes, analyteName } from "./analytes.js";
import { ask, farmAddress } from "./ask.js";
import { showCalibrations } from "./calibrations.js";
import { makePairs, showPairs } from "./pairs.js";
import { setOptional, setText } from "./patch.js";
import { showStatements, statementsAfter } from "./statements.js";

// A statement is made by the hub a moment after its correction is posted.
const statementPatience = 30;
const nothing = { farm: null, sensors: [], analytes: [], calibrations: [], statements: [], pairs: null };
const at = (id) => document.getElementById(id);

export function makeLaboratory() {
  let sheet = null;
  let asked = "";
  let known = nothing;
  // An answer counts only if nothing else was asked in between, of this farm or another.
  let refreshes = 0;
  let comparisons = 0;
  const pairs = makePairs(at("lab-pairs"));

  const names = {
    field: (field) =>
      field === null ? "Outside all fields" : (sheet.fields.find((one) => one.field === field)?.name ?? field),
    pit: (pit) => (pit === null ? "no known pit" : (sheet.pits.find((one) => one.pit === pit)?.name ?? pit)),
  };

  /** What the register says is asked for again when it has grown. */
  async function refresh() {
    const { farm } = sheet;
    const mine = ++refreshes;
    try {
      const [configuration, lab, calibrations] = await Promise.all(
        ["configuration", "lab-results", "calibrations"].map((part) => ask(farmAddress(farm, part))),
      );
      const statements = await statementsAfter(farm, known.farm === farm ? known.statements : []);
      if (mine !== refreshes) return;
      const mounted = configuration.events
        .map(({ event }) => event)
        .filter((event) => event.sensorId && event.place && event.place !== "inPit");
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
      if (mine !== refreshes) return;
      // Asked again with the next sheet or the next look at the clock.
      asked = "";
      setOptional(at("lab-trouble"), trouble.message);
    }
  }

  async function compare() {
    const mine = ++comparisons;
    const [sensor, analyte] = [at("lab-sensor").value, at("lab-analyte").value];
    at("lab-choices").hidden = !sensor || !analyte;
    let answer = null;
    if (sensor && analyte) {
      const query = new URLSearchParams({ sensor, analyte });
      answer = await ask(farmAddress(sheet.farm, `lab-results/pairs?${query}`));
    }
    if (mine !== comparisons) return;
    known = { ...known, pairs: answer };
    setOptional(at("lab-trouble"), null);
    render();
  }

  async function decided(words) {
    const { farm } = sheet;
    setText(at("lab-done"), words);
    // The form is gone in a moment; what came of it is read out, and the keyboard goes on from there.
    at("lab-done").focus();
    const before = known.statements.length;
    await refresh();
    for (
      let tries = 0;
      tries < statementPatience && known.farm === farm && known.statements.length === before;
      tries++
    ) {
      await new Promise((goOn) => setTimeout(goOn, 1_000));
      // What else is new comes with the sheet; a hub that does not answer just now is asked again.
      const statements = await statementsAfter(farm, known.statements).catch(() => known.statements);
      if (known.farm !== farm) return;
      known = { ...known, statements };
      render();
    }
  }

  /** What was said of another farm is taken away at once: nothing of it may be adopted here. */
  function clear() {
    refreshes++;
    comparisons++;
    known = nothing;
    offer(at("lab-sensor"), [], String);
    offer(at("lab-analyte"), [], String);
    at("lab-choices").hidden = true;
    setText(at("lab-done"), "");
    setOptional(at("lab-trouble"), null);
    render();
  }

  function render() {
    // Before the first answer nobody can say that there is nothing.
    const { farm } = sheet;
    const isKnown = known.farm === farm;
    const done = (words) => () =>
      farm === sheet.farm && decided(`${words} The balances update now. The statement appears below in a moment.`);
    at("lab-none").hidden = !isKnown || known.analytes.length > 0;
    if (known.pairs) showPairs(pairs, known.pairs);
    else pairs.node.hidden = true;
    offerAdoption(sheet, known.pairs?.proposal?.calibration ?? null, known.calibrations, {
      names,
      done: done("Adopted."),
    });
    showCalibrations(at("calibrations"), sheet, known.calibrations, {
      names,
      done: done("Withdrawn."),
    });
    at("no-calibrations").hidden = !isKnown || known.calibrations.length > 0;
    showStatements(at("statements"), at("no-statements"), farm, known.statements);
    if (!isKnown) at("no-statements").hidden = true;
  }

  for (const choice of ["lab-sensor", "lab-analyte"])
    at(choice).addEventListener("change", () =>
      compare().catch((trouble) => setOptional(at("lab-trouble"), trouble.message)),
    );

  return {
    show(next) {
      const isOther = sheet !== null && sheet.farm !== next.farm;
      sheet = next;
      if (isOther) clear();
      const wanted = `${sheet.farm}/${sheet.configurationVersion}`;
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
