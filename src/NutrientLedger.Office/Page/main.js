import { setText } from "./patch.js";
import { chooseSystem, chosenSystem } from "./units.js";
import { sayMoment, setFarmTime } from "./times.js";
import { listen } from "./live.js";
import { makeStatus } from "./status.js";
import { showFields } from "./fields.js";
import { showPits } from "./pits.js";
import { showElsewhere } from "./elsewhere.js";
import { showDevices } from "./devices.js";
import { showLook } from "./look.js";

const askAgainAfter = 3_000;
const at = (id) => document.getElementById(id);
const status = makeStatus(at("status"));
let sheet = null;
let outlines = new Map();
let outlinesPlace = -1;
let stopListening = () => {};

function show() {
  if (!sheet) return;
  setText(at("farm-name"), sheet.name);
  setText(at("season"), ` · season ${sheet.season}`);
  document.title = `${sheet.name} · nutrient ledger`;
  showLook(at("look"), at("look-list"), sheet);
  showFields(at("fields"), sheet.fields, outlines);
  showPits(at("pits"), sheet.pits);
  showElsewhere(at("elsewhere"), sheet.elsewhere);
  showDevices(at("devices"), sheet.devices);
  at("no-devices").hidden = sheet.devices.length > 0;
  setText(
    at("footnote"),
    `Posted up to journal position ${sheet.position}. Amounts per area are over the whole field. Printed figures hold for the moment of printing; this page was opened ${opened()}.`,
  );
}

/** Boundaries change rarely, so they are asked for only when the register has grown. */
async function refreshOutlines() {
  if (sheet.registerPlace === outlinesPlace) return;
  outlinesPlace = sheet.registerPlace;
  try {
    const answer = await fetch(`/api/farms/${encodeURIComponent(sheet.farm)}/fields`);
    const { fields } = await answer.json();
    outlines = new Map(fields.map(({ field, boundaries }) => [field, boundaries.at(-1).rings]));
    show();
  } catch {
    // The figures matter, the sketches can wait for the next sheet.
    outlinesPlace = -1;
  }
}

const openedAt = new Date().toISOString();
const opened = () => sayMoment(openedAt);

function open(farm) {
  stopListening();
  sheet = null;
  stopListening = listen(farm, {
    sheet(next) {
      setFarmTime(next.timeZone);
      const isNews = sheet === null || sheet.position !== next.position;
      sheet = next;
      at("ledger").hidden = false;
      if (isNews) status.news();
      else status.still();
      show();
      refreshOutlines();
    },
    still: status.still,
    lost: status.lost,
  });
}

function offer(farms) {
  const select = at("farm-select");
  select.replaceChildren(...farms.map(({ farm, name }) => new Option(name, farm)));
  at("farm-choice").hidden = farms.length < 2;
  const asked = new URLSearchParams(location.search).get("farm");
  const first = farms.find(({ farm }) => farm === asked) ?? farms[0];
  select.value = first.farm;
  select.addEventListener("change", () => {
    history.replaceState(null, "", `?farm=${encodeURIComponent(select.value)}`);
    open(select.value);
  });
  open(first.farm);
}

/** Asks for the farms until there is one: the page is often open before the first import, or before the hub is up. */
async function begin() {
  try {
    const answer = await fetch("/api/farms");
    if (!answer.ok) throw new Error(`The hub answered ${answer.status}.`);
    const { farms } = await answer.json();
    at("empty").hidden = farms.length > 0;
    if (farms.length > 0) return offer(farms);
    setText(at("farm-name"), "Nothing to show yet");
    setText(at("status"), "Waiting for a farm to be imported.");
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
begin();
