// The laboratory section: pairs, the suggested calibration, and past decisions.

import { offerAdoption } from "./adoption.js";
import { allAnalytes, analyteName } from "./analytes.js";
import { ask, farmAddress } from "./ask.js";
import { showCalibrations } from "./calibrations.js";
import { makePairs, showPairs } from "./pairs.js";
import { setOptional, setText } from "./patch.js";
import { showStatements, statementsAfter } from "./statements.js";

// How many seconds to wait for a statement. The hub makes it shortly after the correction is posted.
const statementPatience = 30;
const nothing = { farm: null, sensors: [], analytes: [], calibrations: [], statements: [], pairs: null };
const at = (id) => document.getElementById(id);

export function makeLaboratory() {
  let sheet = null;
  let asked = "";
  let known = nothing;
  // A response counts only if no newer request was sent, for this farm or another.
  let refreshes = 0;
  let comparisons = 0;
  const pairs = makePairs(at("lab-pairs"));

  const names = {
    field: (field) =>
      field === null ? "Outside all fields" : (sheet.fields.find((one) => one.field === field)?.name ?? field),
    pit: (pit) => (pit === null ? "no known pit" : (sheet.pits.find((one) => one.pit === pit)?.name ?? pit)),
  };

  /** Loads everything of this section. Called again when the configuration has grown. */
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
    } catch (error) {
      if (mine !== refreshes) return;
      // Retried with the next update.
      asked = "";
      setOptional(at("lab-error"), error.message);
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
    setOptional(at("lab-error"), null);
    render();
  }

  async function decided(words) {
    const { farm } = sheet;
    setText(at("lab-done"), words);
    // The form is about to disappear. The focus moves to the result, so that it is read out and the keyboard continues
    // there.
    at("lab-done").focus();
    const before = known.statements.length;
    await refresh();
    for (
      let tries = 0;
      tries < statementPatience && known.farm === farm && known.statements.length === before;
      tries++
    ) {
      await new Promise((goOn) => setTimeout(goOn, 1_000));
      // Other news come with live updates; a hub that does not respond is asked again.
      const statements = await statementsAfter(farm, known.statements).catch(() => known.statements);
      if (known.farm !== farm) return;
      known = { ...known, statements };
      render();
    }
  }

  /** Removes another farm's data at once, so that nothing of it can be adopted here. */
  function clear() {
    refreshes++;
    comparisons++;
    known = nothing;
    offer(at("lab-sensor"), [], String);
    offer(at("lab-analyte"), [], String);
    at("lab-choices").hidden = true;
    setText(at("lab-done"), "");
    setOptional(at("lab-error"), null);
    render();
  }

  function render() {
    // Before the first response nobody knows whether the lists are empty.
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
      compare().catch((error) => setOptional(at("lab-error"), error.message)),
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

/** Fills a list of choices and keeps the selected one if it still exists. */
function offer(select, values, nameOf) {
  if ([...select.options].map(({ value }) => value).join() === values.join()) return;
  const chosen = select.value;
  select.replaceChildren(...values.map((value) => new Option(nameOf(value), value)));
  if (values.includes(chosen)) select.value = chosen;
}
