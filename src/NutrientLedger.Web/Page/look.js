// What a person should look at first, in words.
import { keyed, setText } from "./patch.js";
import { counted, percent, say, sayPerArea } from "./units.js";

const nearLimit = 0.9;
const signs = { nitrogen: "nitrogen", p2o5: "phosphate", k2o: "potash" };

export function showLook(section, list, sheet) {
  const items = [...sheet.fields.flatMap(ofField), ...sheet.pits.flatMap(ofPit), ...sheet.devices.flatMap(ofDevice)];
  section.hidden = items.length === 0;
  keyed(
    list,
    items,
    ([key]) => key,
    () => ({ node: document.createElement("li") }),
    ({ node }, [, text]) => setText(node, text),
  );
}

function ofField(field) {
  return Object.entries(signs).flatMap(([key, word]) => {
    const { remainingKilograms: remaining, shareOfPlan: share } = field[key];
    if (remaining === null) return [];
    const place = `${field.field}/${key}`;
    if (remaining < 0)
      return [
        [
          place,
          `${field.name}: ${word} is over the plan by ${sayPerArea(-remaining, field.fieldSquareMetres)}. Stop, and ask your planner.`,
        ],
      ];
    return share >= nearLimit
      ? [
          [
            place,
            `${field.name}: ${word} has reached ${percent(share)} of the plan, ${sayPerArea(remaining, field.fieldSquareMetres)} remaining.`,
          ],
        ]
      : [];
  });
}

function ofPit(pit) {
  if (pit.levelMetres === null) return [];
  const share = pit.shareFull;
  return share >= nearLimit
    ? [[pit.pit, `${pit.name} is ${percent(share)} full, ${say("volume", pit.volumeCubicMetres)}.`]]
    : [];
}

function ofDevice(device) {
  return device.missingReadings > 0
    ? [
        [
          `${device.equipment}/${device.stream}`,
          `${counted(device.missingReadings, "reading")} of ${device.equipment} ${device.missingReadings === 1 ? "has" : "have"} not arrived yet.`,
        ],
      ]
    : [];
}
