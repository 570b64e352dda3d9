// Statements of corrections, newest first, each with a page to print.

import { ask, farmAddress } from "./ask.js";
import { copy, keyed, setAttribute, setOptional, setText, slots } from "./patch.js";
import { sayMoment } from "./times.js";
import { chosenSystem } from "./units.js";

const atOnce = 1000;

/** All statements: the known ones, then the newer ones from the hub. */
export async function statementsAfter(farm, known) {
  const statements = [...known];
  for (let after = statements.at(-1)?.position ?? 0; after !== null; ) {
    const answer = await ask(farmAddress(farm, `statements?after=${after}&limit=${atOnce}`));
    statements.push(...answer.statements);
    after = answer.next;
  }
  return statements;
}

export function showStatements(list, none, farm, statements) {
  none.hidden = statements.length > 0;
  const make = () => {
    const node = copy("statement-template").firstElementChild;
    return { node, slot: slots(node) };
  };
  keyed(
    list,
    [...statements].reverse(),
    ({ position }) => `${farm}/${position}`,
    make,
    ({ slot }, statement) => {
      setText(slot.what, chosenSystem() === "metric" ? statement.whatMetric : statement.whatUs);
      setOptional(slot.reason, statement.reason && `${statement.by ?? "Unknown"}: ${statement.reason}`);
      setText(slot.summary, statement.summary);
      setText(slot.when, sayMoment(statement.recordedAt));
      setAttribute(
        slot.link,
        "href",
        farmAddress(farm, `statements/${statement.position}?print=1&units=${chosenSystem()}`),
      );
      setAttribute(slot.link, "aria-label", `Statement of ${statement.id ?? statement.kind}, page to print`);
    },
  );
}
