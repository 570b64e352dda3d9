import { sayBetween } from "./elsewhere.js";
import { makeGauge, setGauge } from "./gauge.js";
import { copy, facts, keyed, setAttribute, setOptional, setText, slots } from "./patch.js";
import { sayMoment } from "./times.js";
import { percent, say } from "./units.js";

export function showPits(parent, pits) {
  keyed(parent, pits, ({ pit, name }) => `${pit}/${name}`, makePit, patchPit);
}

function makePit(pit) {
  const node = copy("pit-template").firstElementChild;
  const slot = slots(node);
  slot.name.id = `pit-${pit.pit}`;
  node.setAttribute("aria-labelledby", slot.name.id);
  const gauge = makeGauge(`${pit.name}, volume against full depth`, "pit");
  slot.gauge.append(gauge.node);
  return { node, slot, gauge };
}

function patchPit({ slot, gauge }, pit) {
  setText(slot.name, pit.name);
  const known = pit.levelMetres !== null;
  gauge.node.hidden = !known;
  const share = known ? pit.shareFull : 0;
  const over = known && pit.levelMetres > pit.fullDepthMetres;
  if (known) {
    setGauge(
      gauge,
      share,
      `${say("volume", pit.volumeCubicMetres)} of ${say("volume", pit.fullVolumeCubicMetres)}, ${percent(share)} of full`,
    );
    setAttribute(gauge.node, "data-over", over ? "yes" : "no");
  }
  const above = over
    ? `ABOVE FULL DEPTH by ${say("length", pit.levelMetres - pit.fullDepthMetres)}. Make room before it overflows; ask your planner.`
    : "";
  setOptional(slot.note, [above, pit.note].filter(Boolean).join(" "));
  facts(slot.facts, [
    ["In the pit", known ? `${say("volume", pit.volumeCubicMetres)}, ${percent(share)} of full` : "no level yet"],
    ["Full at", `${say("volume", pit.fullVolumeCubicMetres)} at ${say("length", pit.fullDepthMetres)}`],
    ["Level", known ? `${say("length", pit.levelMetres)}, ${sayMoment(pit.levelMeasuredAt)}` : null],
    ["Drawn this season, by meter", say("volume", pit.drawnByMeterCubicMetres)],
    ["Metered between readings, not placed", pit.betweenReadings && sayBetween(pit.betweenReadings)],
  ]);
}
