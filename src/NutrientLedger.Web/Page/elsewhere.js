import { facts } from "./patch.js";
import { counted, say, sayCubicMetresIn } from "./units.js";
import { zoneFact } from "./zones.js";

/** What meters counted this season that is on no field. */
export function showElsewhere(list, elsewhere) {
  const unknown = elsewhere.unknownIntervals;
  facts(list, [
    ["Spread outside fields", say("volume", elsewhere.outsideFieldsCubicMetres)],
    zoneFact(elsewhere.inNoSpreadZones),
    ["Metered, position unknown", say("volume", elsewhere.notPlacedCubicMetres)],
    ["Metered between readings, not placed", sayBetween(elsewhere.betweenReadings)],
    ["Pumped with tool raised, outside fields", say("volume", elsewhere.disengagedCubicMetres)],
    [
      "Amount unknown",
      unknown === 0 ? "none" : `${counted(unknown, "interval")}: meter reset, or no total and no flow`,
    ],
  ]);
}

/** What ran while no readings came, and what is uncertain of it. */
export const sayBetween = ({ cubicMetres, atLeast, note }) =>
  [`${atLeast ? "at least " : ""}${say("volume", cubicMetres)}`, note && sayCubicMetresIn(note)]
    .filter(Boolean)
    .join(". ");
