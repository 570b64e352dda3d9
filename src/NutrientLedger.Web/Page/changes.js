// What a correction changes by field: before, after and difference, all pits of a field together.
import { change, percent, say } from "./units.js";

const amounts = [
  ["Total N", (part) => part.totalNitrogenKilograms],
  ["Ammonium N", (part) => part.ammoniumNitrogenKilograms],
  ["P₂O₅", (part) => part.p2o5Kilograms],
  ["K₂O", (part) => part.k2oKilograms],
];

/**
 * A table of all changes, or a sentence when there are none. The names are functions that return the name of a field id
 * and of a pit id.
 */
export function changeTable(changes, names) {
  const rows = grouped(changes).flatMap(([field, season, parts]) =>
    rowsOf(`${names.field(field)}, ${season}`, parts, names),
  );
  if (rows.length === 0) {
    const nothing = document.createElement("p");
    nothing.textContent = changes.length === 0 ? "Nothing would change." : "No field total would change.";
    return nothing;
  }
  const table = document.createElement("table");
  table.className = "sums";
  const head = table.createTHead().insertRow();
  for (const name of ["Field, season", "Amount", "Before", "After", "Change"]) head.append(header(name, "col"));
  const body = table.createTBody();
  for (const [place, ...texts] of rows) {
    const row = body.insertRow();
    row.append(header(place, "row"));
    for (const text of texts) row.insertCell().textContent = text;
  }
  return table;
}

export function header(text, scope) {
  const node = document.createElement("th");
  node.scope = scope;
  node.textContent = text;
  return node;
}

function grouped(changes) {
  const places = new Map();
  for (const part of changes) {
    const key = `${part.field ?? ""}/${part.season}`;
    if (!places.has(key)) places.set(key, [part.field, part.season, []]);
    places.get(key)[2].push(part);
  }
  return [...places.values()];
}

function rowsOf(place, parts, names) {
  const sum = (of, side) => parts.reduce((all, part) => all + of(part[side]), 0);
  const rows = amounts
    .map(([name, of]) => [name, sum(of, "before"), sum(of, "after")])
    .filter(([, before, after]) => before !== after)
    .map(([name, before, after]) => [
      place,
      name,
      say("mass", before),
      say("mass", after),
      change("mass", before, after),
    ]);
  // Means and shares cannot be added, so each pit has its own rows.
  const from = ({ pit }) => (parts.length === 1 ? place : `${place}, from ${names.pit(pit)}`);
  for (const part of parts) {
    const [before, after] = [part.before, part.after].map(({ dryMatterFraction }) => dryMatterFraction);
    if (before !== after) {
      const sayShare = (fraction) => (fraction === null ? "not known" : say("dryness", fraction * 1e6));
      const difference = before === null || after === null ? "–" : change("dryness", before * 1e6, after * 1e6);
      rows.push([from(part), "Dry matter", sayShare(before), sayShare(after), difference]);
    }
    const [was, is] = [part.flaggedShareBefore, part.flaggedShareAfter];
    if (was !== is)
      rows.push([
        from(part),
        "Flagged share",
        percent(was),
        percent(is),
        `${is > was ? "+" : "−"}${percent(Math.abs(is - was))}`,
      ]);
  }
  return rows;
}
