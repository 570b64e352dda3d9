// One day of a pit in full: its balance, and each measurement beside its best estimate.

import { reconciliationAddress } from "./ask.js";
import { header } from "./changes.js";
import { keyed, setAttribute, setOptional, setText } from "./patch.js";
import { nextDay, sayDay } from "./times.js";
import { chosenSystem, say, sayCubicMetresIn, unitOf } from "./units.js";

const columns = ["Measurement", "Measured", "±", "Best estimate", "±", "Test", "Source of ±"];

export function makeDayStatement() {
  const node = document.createElement("div");
  node.className = "statement-of-day";
  const error = document.createElement("p");
  const sum = table("Pit balance");
  const measurements = table("Measurements, ± one standard deviation");
  const head = measurements.table.createTHead().insertRow();
  const heads = columns.map((name) => header(name, "col"));
  head.append(...heads);
  const wide = document.createElement("div");
  wide.className = "wide";
  wide.tabIndex = 0;
  wide.setAttribute("role", "region");
  wide.setAttribute("aria-label", "Measurements, table");
  wide.append(measurements.table);
  const [test, notes, paper, link] = ["p", "p", "p", "a"].map((tag) => document.createElement(tag));
  link.textContent = "page to print";
  paper.append(link);
  test.className = notes.className = paper.className = "explain";
  node.append(error, sum.table, wide, test, notes, paper);
  return { node, error, sum: sum.body, measurements: measurements.body, heads, test, notes, link };
}

export function showDayStatement(statement, whole, at, day) {
  setText(statement.error, "");
  const parts = [
    ["Start", whole.startMillilitres],
    ["+ brought in", whole.inMillilitres],
    ["− taken out (hand records)", whole.outMillilitres - whole.betweenReadingsMillilitres],
    ["− metered between readings, not placed", whole.betweenReadingsMillilitres],
    ["− drawn (meter)", whole.drawnByMeterMillilitres],
    ["− end", whole.endMillilitres],
    ["= unexplained", whole.unexplainedMillilitres],
  ];
  rows(
    statement.sum,
    parts.map(([name, millilitres]) => [name, millilitres === null ? "not known" : say("volume", millilitres / 1e6)]),
  );
  setText(statement.heads[1], `Measured, ${unitOf("volume")}`);
  setText(statement.heads[3], `Best estimate, ${unitOf("volume")}`);
  rows(
    statement.measurements,
    whole.measurements.map((measurement) => [
      measurement.name,
      plain(measurement.measuredCubicMetres),
      plain(measurement.deviationCubicMetres),
      plain(measurement.adjustedCubicMetres),
      plain(measurement.adjustedDeviationCubicMetres),
      measurement.test,
      measurement.knownFrom ?? "",
    ]),
  );
  setText(statement.test, [whole.test, sayCubicMetresIn(whole.idleFinding ?? "")].filter(Boolean).join(" "));
  setOptional(statement.notes, whole.notes.join(" "));
  setAttribute(
    statement.link,
    "href",
    reconciliationAddress(at, day, nextDay(day), { print: 1, units: chosenSystem() }),
  );
  setAttribute(statement.link, "aria-label", `Statement of ${sayDay(day)}, page to print`);
}

const plain = (cubicMetres) => (cubicMetres === null ? "–" : say("volume", cubicMetres).split("\u00a0")[0]);

function table(caption) {
  const node = document.createElement("table");
  node.className = "sums with-text";
  node.createCaption().textContent = caption;
  return { table: node, body: node.createTBody() };
}

function rows(body, texts) {
  keyed(
    body,
    texts,
    ([name]) => name,
    ([name, ...rest]) => {
      const node = document.createElement("tr");
      const cells = rest.map(() => document.createElement("td"));
      node.append(header(name, "row"), ...cells);
      return { node, cells };
    },
    ({ cells }, [, ...rest]) => {
      for (const [place, text] of rest.entries()) setText(cells[place], text);
    },
  );
}
