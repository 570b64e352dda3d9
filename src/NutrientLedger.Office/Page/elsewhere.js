import { facts } from "./patch.js";
import { counted, say } from "./units.js";

/** What went through a meter this season and lies on no field. */
export function showElsewhere(list, elsewhere) {
  const unknown = elsewhere.unknownIntervals;
  facts(list, [
    ["Spread outside every field", say("volume", elsewhere.outsideFieldsCubicMetres)],
    ["Metered, place not known", say("volume", elsewhere.notPlacedCubicMetres)],
    ["Tool not engaged, outside every field", say("volume", elsewhere.disengagedCubicMetres)],
    [
      "Amount not known",
      unknown === 0 ? "none" : `${counted(unknown, "interval")}: a meter was reset, or sent neither total nor flow`,
    ],
  ]);
}
