// The days of each pit in the season with their verdicts, newest first. Calculating a season takes the hub seconds, so
// the days load when this section comes into view. Then the newest days load again as readings come in. All days load
// again when the configuration has grown, a correction is done, or some minutes have passed. A device that was offline
// may send readings that are days old.

import { ask, reconciliationAddress } from "./ask.js";
import { listDays, makeDays } from "./daylist.js";
import { facts, keyed, setOptional, setText } from "./patch.js";
import { dayOf, nextDay } from "./times.js";
import { count } from "./units.js";

const restBetween = 10_000;
// A day ends by the farm's clock, even when no readings come in.
const againWhileNotOver = 60_000;
const wholeAgainAfter = 300_000;
const wellAhead = "600px";

export function makePitDays(section) {
  const list = document.createElement("div");
  const failure = document.createElement("p");
  const caution = document.createElement("aside");
  const explain = document.createElement("p");
  explain.className = "explain";
  explain.textContent =
    "Compares the pit balance (start + in − out − end) with meters and spread acres. A day closes when measurement errors explain the difference.";
  failure.className = "error";
  failure.setAttribute("role", "alert");
  failure.hidden = true;
  caution.className = "caution";
  caution.setAttribute("aria-label", "Caution when a day does not close");
  caution.append(document.createElement("p"));
  caution.hidden = true;
  section.append(explain, caution, failure, list);

  let sheet = null;
  let seen = false;
  let isInView = false;
  let busy = false;
  let shownKey = "";
  let loadedAt = 0;
  let wholeAt = 0;
  // How many updates came while a correction was being posted. Until it is posted, the days are those before it.
  let corrections = 0;
  let loaded = { key: "", version: -1, position: -1, days: new Map() };

  const seasonKey = () => `${sheet.farm}/${sheet.season}`;

  const isBeingCorrected = () => sheet.fields.some((field) => field.isBeingCorrected);
  const isWholeDue = () => isInView && document.visibilityState === "visible" && Date.now() - wholeAt > wholeAgainAfter;
  const isSomeDayNotOver = () =>
    [...loaded.days.values()].some((days) => days.some(({ verdict }) => verdict === "running"));

  /** Loads all days of the season if any may have changed, otherwise the newest two. */
  async function load() {
    const key = seasonKey();
    const { farm, configurationVersion, position, pits } = sheet;
    const measured = sheet.devices
      .map(({ lastMeasuredAt }) => lastMeasuredAt)
      .filter(Boolean)
      .sort();
    if (measured.length === 0 || pits.length === 0) return;
    const { farms } = await ask("/api/farms");
    const { first, last } = seasonOf(
      farms.find((one) => one.farm === farm),
      sheet.season,
    );
    const newest = nextDay(dayOf(new Date(measured.at(-1))));
    const end = newest < last ? newest : last;
    // During a correction all days would have to load twice, so this waits for its end.
    const before = isBeingCorrected() ? -1 : corrections;
    const isWhole = loaded.key !== key || (before >= 0 && loaded.version !== configurationVersion) || isWholeDue();
    const days = new Map(loaded.key === key ? loaded.days : []);
    for (const { pit } of pits) {
      const known = days.get(pit) ?? [];
      const from = isWhole || known.length === 0 ? first : nextDay(known.at(-1).day, -1);
      if (from >= end) continue;
      const answer = await ask(reconciliationAddress({ farm, pit }, from, end));
      days.set(pit, [...known.filter(({ day }) => day < from), ...answer.days]);
      setText(caution.firstElementChild, answer.caution);
      caution.hidden = false;
      if (key !== seasonKey()) return;
      // Each pit is shown when it is calculated. Until all are, this counts as not loaded.
      loaded = { key, version: -1, position: -1, days };
      render();
    }
    loaded = { key, version: corrections === before ? configurationVersion : -1, position, days };
    if (isWhole) wholeAt = Date.now();
    render();
  }

  async function refresh() {
    const key = seasonKey();
    const isDue = isWholeDue() || (isSomeDayNotOver() && Date.now() - loadedAt > againWhileNotOver);
    const isNews =
      loaded.key !== key ||
      loaded.version !== sheet.configurationVersion ||
      loaded.position !== sheet.position ||
      isDue;
    if (!seen || busy || !isNews || Date.now() - loadedAt < restBetween) return;
    busy = true;
    try {
      await load();
      setOptional(failure, null);
    } catch (error) {
      setOptional(failure, error.message);
    }
    busy = false;
    if (key !== seasonKey()) return refresh();
    loadedAt = Date.now();
  }

  /** Removes the days of another farm or season at once. */
  function clear() {
    list.replaceChildren();
    list.kept = undefined;
  }

  function render() {
    const shown = sheet.pits.filter(({ pit }) => loaded.days.has(pit));
    keyed(
      list,
      shown,
      ({ pit }) => `${loaded.key}/${pit}`,
      (pit) => makeDays(sheet.farm, pit),
      (kept, { pit }) => {
        const days = loaded.days.get(pit);
        facts(kept.sums, sums(days));
        listDays(kept, days);
      },
    );
  }

  new IntersectionObserver(
    (entries) => {
      isInView = entries.at(-1).isIntersecting;
      if (!isInView) return;
      seen = true;
      if (sheet) refresh();
    },
    { rootMargin: wellAhead },
  ).observe(section);

  return {
    show(next) {
      sheet = next;
      if (isBeingCorrected()) {
        corrections++;
        loaded.version = -1;
      }
      if (loaded.key === seasonKey()) render();
      else {
        clear();
        if (shownKey !== seasonKey()) loadedAt = 0;
      }
      shownKey = seasonKey();
      refresh();
    },
  };
}

/** The first day of a season and the day after its last. A season is named by the year in which it ends. */
function seasonOf({ seasonBegins, ledgerBegins }, season) {
  const isYear = seasonBegins === "01-01";
  const [first, last] = [isYear ? season : season - 1, isYear ? season + 1 : season].map(
    (year) => `${year}-${seasonBegins}`,
  );
  return { first: first < ledgerBegins ? ledgerBegins : first, last };
}

function sums(days) {
  const drawn = days.filter(
    ({ meteredCubicMetres, verdict }) => meteredCubicMetres > 0 || verdict === "doesNotClose" || verdict === "warning",
  );
  const of = (verdict) => drawn.filter((day) => day.verdict === verdict).length;
  const counts = [
    [of("closes"), "close"],
    [of("warning"), of("warning") === 1 ? "warning" : "warnings"],
    [of("doesNotClose"), of("doesNotClose") === 1 ? "does not close" : "do not close"],
    [of("cannotTell"), "cannot tell"],
    [of("running"), "not over yet"],
  ];
  return [
    [
      "Days with pumping or a finding",
      drawn.length === 0
        ? "none"
        : counts
            .filter(([many]) => many > 0)
            .map(([many, word]) => `${count(many)} ${word}`)
            .join(", "),
    ],
  ];
}
