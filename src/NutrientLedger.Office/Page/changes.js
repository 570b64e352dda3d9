// What a correction changes, field by field: before, after and the change, all pits of a field together.
import { change, say } from "./units.js";

// Mass of oxide that holds one unit mass of the element, as in the ledger (Oxides).
const p2o5PerPhosphorus = 2.291;
const k2oPerPotassium = 1.2051;
const amounts = [
  ["Total N", (part) => part.totalNitrogenKilograms],
  ["Ammonium N", (part) => part.ammoniumNitrogenKilograms],
  ["P₂O₅", (part) => part.phosphorusKilograms * p2o5PerPhosphorus],
  ["K₂O", (part) => part.potassiumKilograms * k2oPerPotassium],
];

/** A table of all that changes, or a sentence when nothing does. */
export function changeTable(changes, nameOf) {
  const rows = grouped(changes).flatMap(([field, season, parts]) => rowsOf(`${nameOf(field)}, ${season}`, parts));
  if (rows.length === 0) {
    const nothing = document.createElement("p");
    nothing.textContent = "Nothing that is posted would change.";
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

function rowsOf(place, parts) {
  const sum = (of, side) => parts.reduce((all, part) => all + of(part[side]), 0);
  const rows = amounts
    .map(([name, of]) => [name, sum(of, "before"), sum(of, "after")])
    .filter(([, before, after]) => before !== after)
    .map(([name, before, after]) => [place, name, say("mass", before), say("mass", after), change("mass", before, after)]);
  // Means cannot be added, so dry matter is told only where one pit has a part.
  const [one] = parts;
  if (parts.length === 1 && one.before.dryMatterFraction !== one.after.dryMatterFraction) {
    const [before, after] = [one.before, one.after].map((side) => (side.dryMatterFraction ?? 0) * 1e6);
    rows.push([place, "Dry matter", say("dryness", before), say("dryness", after), change("dryness", before, after)]);
  }
  return rows;
}
