// The days of one pit. Quiet days in a row share one line.

import { ask, reconciliationAddress } from "./ask.js";
import { makeDayStatement, showDayStatement } from "./daystatement.js";
import { keyed, setAttribute, setOptional, setText } from "./patch.js";
import { nextDay, sayDay } from "./times.js";
import { chosenSystem, say, sayCubicMetresIn } from "./units.js";

const verdicts = {
  closes: "closes",
  warning: "warning",
  doesNotClose: "does not close",
  cannotTell: "cannot tell",
  running: "not over yet",
};

export function makeDays(farm, { pit, name }) {
  const node = document.createElement("section");
  const heading = document.createElement("h3");
  heading.id = `days-${pit}`;
  heading.textContent = name;
  node.setAttribute("aria-labelledby", heading.id);
  const sums = document.createElement("dl");
  sums.className = "facts";
  const list = document.createElement("ol");
  list.className = "history days";
  node.append(heading, sums, list);
  return { node, sums, list, farm, pit };
}

export function listDays({ list, farm, pit }, days) {
  const at = { farm, pit };
  keyed(
    list,
    inRuns(days),
    ({ first, isQuiet }) => `${first.day}/${isQuiet}`,
    (run) => (run.isQuiet ? makeQuiet() : makeDay(at, run.first)),
    (kept, run) => (run.isQuiet ? patchQuiet(kept, at, run) : patchDay(kept, at, run.first)),
  );
}

/** Groups days in a row without metered draws and findings; newest first. */
function inRuns(days) {
  const runs = [];
  for (const day of days) {
    const isQuiet = day.meteredCubicMetres === 0 && (day.verdict === "closes" || day.verdict === "cannotTell");
    const before = runs.at(-1);
    if (isQuiet && before?.isQuiet && before.first.verdict === day.verdict) before.last = day;
    else runs.push({ first: day, last: day, isQuiet });
  }
  return runs.reverse();
}

function makeQuiet() {
  const node = document.createElement("li");
  const [words, link] = [document.createElement("span"), document.createElement("a")];
  link.textContent = "print";
  node.className = "quiet";
  node.append(words, " · ", link);
  return { node, words, link };
}

function patchQuiet({ words, link }, at, { first, last }) {
  const isOne = first.day === last.day;
  const when = isOne ? sayDay(first.day) : `${sayDay(first.day)} to ${sayDay(last.day)}`;
  const verdict = first.verdict === "closes" ? (isOne ? "closes" : "every day closes") : "not enough measurements";
  setText(words, `${when}: nothing pumped, ${verdict}`);
  setAttribute(
    link,
    "href",
    reconciliationAddress(at, first.day, nextDay(last.day), { print: 1, units: chosenSystem() }),
  );
  setAttribute(link, "aria-label", `Statement of ${when}, page to print`);
}

function makeDay(at, { day }) {
  const node = document.createElement("li");
  const details = document.createElement("details");
  const summary = document.createElement("summary");
  const [when, verdict, off, finding] = ["strong", "span", "span", "span"].map((tag) => document.createElement(tag));
  verdict.className = "verdict";
  finding.className = "finding";
  summary.append(when, " ", verdict, " ", off, " ", finding);
  const statement = makeDayStatement();
  details.append(summary, statement.node);
  node.append(details);
  const kept = { node, when, verdict, off, finding, details, statement, whole: null, text: "" };
  kept.load = async () => {
    const { text } = kept;
    try {
      const { whole } = await ask(reconciliationAddress(at, day, nextDay(day)));
      // The day changed meanwhile, so a newer request is under way.
      if (text !== kept.text) return;
      kept.whole = whole;
    } catch (error) {
      setText(statement.error, error.message);
      return;
    }
    showDayStatement(statement, kept.whole, at, day);
  };
  details.addEventListener("toggle", () => {
    if (details.open) kept.load();
  });
  return kept;
}

function patchDay(kept, at, day) {
  setText(kept.when, sayDay(day.day));
  setText(kept.verdict, verdicts[day.verdict] ?? day.verdict);
  setAttribute(kept.verdict, "data-verdict", day.verdict);
  const unexplained = day.unexplainedCubicMetres;
  setText(
    kept.off,
    `${say("volume", day.meteredCubicMetres)} metered, ${unexplained === null ? "unexplained volume unknown" : `${say("volume", unexplained)} unexplained`}.`,
  );
  // A day that closes needs only its verdict.
  setOptional(kept.finding, day.verdict === "closes" ? null : sayCubicMetresIn(day.finding));
  const text = JSON.stringify(day);
  const isChanged = kept.text !== text;
  kept.text = text;
  if (!kept.details.open) return;
  if (kept.whole) showDayStatement(kept.statement, kept.whole, at, day.day);
  // An open statement is loaded again when its day changed.
  if (isChanged) kept.load();
}
