import { offerFarms, offerSeasons } from "./choices.js";
import { makePitDays } from "./days.js";
import { showDevices } from "./devices.js";
import { showElsewhere } from "./elsewhere.js";
import { showFields } from "./fields.js";
import { makeLaboratory } from "./laboratory.js";
import { listen } from "./live.js";
import { showLook } from "./look.js";
import { setText } from "./patch.js";
import { showPits } from "./pits.js";
import { makeStatus } from "./status.js";
import { sayMoment, setFarmTime } from "./times.js";
import { chooseSystem, chosenSystem } from "./units.js";

const askAgainAfter = 3_000;
const showAgainAfter = 10_000;
const openedAt = new Date().toISOString();
const at = (id) => document.getElementById(id);
const status = makeStatus(at("status"));
const laboratory = makeLaboratory();
const pitDays = makePitDays(at("days"));
let sheet = null;
let outlines = new Map();
let outlinesPlace = -1;
let stopListening = () => {};

function show() {
  if (!sheet) return;
  setText(at("farm-name"), sheet.name);
  document.title = `${sheet.name} · nutrient ledger`;
  offerSeasons(sheet, (season) => open(sheet.farm, season));
  showLook(at("look"), at("look-list"), sheet);
  showFields(at("fields"), sheet.fields, outlines);
  showPits(at("pits"), sheet.pits);
  showElsewhere(at("elsewhere"), sheet.elsewhere);
  showDevices(at("devices"), sheet.devices);
  at("no-devices").hidden = sheet.devices.length > 0;
  laboratory.show(sheet);
  pitDays.show(sheet);
  setText(
    at("footnote"),
    `Season ${sheet.season}, up to journal position ${sheet.position}. Amounts per area are averages over the whole field. Page opened ${sayMoment(openedAt)}.`,
  );
}

/** Boundaries change rarely, so they load only when the configuration has grown. */
async function refreshOutlines() {
  if (sheet.configurationVersion === outlinesPlace) return;
  outlinesPlace = sheet.configurationVersion;
  try {
    const answer = await fetch(`/api/farms/${encodeURIComponent(sheet.farm)}/fields`);
    const { fields } = await answer.json();
    outlines = new Map(fields.map(({ field, boundaries }) => [field, boundaries.at(-1).rings]));
    show();
  } catch {
    // The sketches can wait for the next update.
    outlinesPlace = -1;
  }
}

/** Follows a farm in the chosen season, or otherwise always in its latest one. */
function open(farm, season) {
  stopListening();
  const asked = new URLSearchParams(season ? { farm, season } : { farm });
  let isFirst = true;
  stopListening = listen(`/api/live?${asked}`, {
    sheet(next) {
      setFarmTime(next.timeZone);
      if (sheet?.farm !== next.farm) outlinesPlace = -1;
      const isNews = isFirst || sheet.position !== next.position;
      isFirst = false;
      sheet = next;
      at("ledger").hidden = false;
      if (isNews) status.news();
      else status.heartbeat();
      show();
      refreshOutlines();
    },
    heartbeat: status.heartbeat,
    lost: status.lost,
  });
}

/** Asks for the farms until there is one. The page is often open before the first import or before the hub runs. */
async function begin() {
  try {
    const answer = await fetch("/api/farms");
    if (!answer.ok) throw new Error(`The hub answered ${answer.status}.`);
    const { farms } = await answer.json();
    at("empty").hidden = farms.length > 0;
    if (farms.length > 0) return offerFarms(farms, open);
    setText(at("farm-name"), "No farm yet");
    setText(at("status"), "Import a farm file to start.");
  } catch {
    status.lost();
  }
  setTimeout(begin, askAgainAfter);
}

for (const choice of document.querySelectorAll("input[name=units]")) {
  choice.checked = choice.value === chosenSystem();
  choice.addEventListener("change", () => {
    chooseSystem(choice.value);
    show();
  });
}
// Texts that depend on the current time need updates even without news.
setInterval(show, showAgainAfter);
begin();
