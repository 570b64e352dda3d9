import { keyed, setText } from "./patch.js";
import { sayMoment } from "./times.js";
import { count, counted, say } from "./units.js";

const gapsShown = 3;
const streams = { spread: "spreading", store: "pit level", weather: "weather" };

export function showDevices(body, devices) {
  keyed(body, devices, (device) => `${device.equipment}/${device.stream}`, makeDevice, patchDevice);
}

function makeDevice(device) {
  const node = document.createElement("tr");
  const name = document.createElement("th");
  name.scope = "row";
  name.textContent = `${device.equipment} (${streams[device.stream] ?? device.stream})`;
  const cells = [1, 2, 3, 4, 5].map(() => document.createElement("td"));
  node.append(name, ...cells);
  return { node, cells };
}

function patchDevice({ node, cells }, device) {
  node.classList.toggle("has-missing", device.missingReadings > 0);
  const texts = [
    [sayMoment(device.lastRecordedAt), sayClockOffset(device.clockAheadSeconds)].filter(Boolean).join(", "),
    [count(device.readingsStored), sayWaiting(device), sayLeftOut(device)].filter(Boolean).join("; "),
    sayGaps(device),
    count(device.readingsQuestionable),
    count(device.readingsDuplicate),
  ];
  for (const [place, text] of texts.entries()) setText(cells[place], text);
}

// Smaller differences may be transmission time and say nothing about the clock. In seconds.
const aheadToSay = 10;
const behindToSay = 60;

function sayClockOffset(aheadSeconds) {
  if (aheadSeconds === null || (aheadSeconds < aheadToSay && aheadSeconds > -behindToSay)) return "";
  const seconds = Math.round(Math.abs(aheadSeconds));
  const [hours, minutes, rest] = [Math.floor(seconds / 3600), Math.floor(seconds / 60) % 60, seconds % 60];
  const parts = [hours && `${hours} h`, minutes && `${minutes} min`, rest && hours === 0 && `${rest} s`].filter(
    Boolean,
  );
  return `clock ${parts.join(" ")} ${aheadSeconds > 0 ? "ahead" : "behind"}`;
}

function sayWaiting({ differingMessages, laterMessages, whatToDo }) {
  const waiting = differingMessages + laterMessages;
  return waiting > 0 ? `${counted(waiting, "message")} waiting. ${whatToDo}` : "";
}

function sayLeftOut({ unknownRecords, valuesLeftOut }) {
  const parts = [
    unknownRecords > 0 && counted(unknownRecords, "unknown record"),
    valuesLeftOut > 0 && counted(valuesLeftOut, "value below zero", "values below zero"),
  ].filter(Boolean);
  return parts.length > 0 ? `not read: ${parts.join(", ")}` : "";
}

function sayGaps({ missingReadings, openGaps, meteredInGapsCubicMetres, gaps }) {
  if (missingReadings === 0) return "none";
  const named = gaps.slice(0, gapsShown).map(sayGap);
  const more = openGaps > gapsShown ? ` and ${counted(openGaps - gapsShown, "more gap")}` : "";
  const metered =
    meteredInGapsCubicMetres > 0
      ? `; ${say("volume", meteredInGapsCubicMetres)} metered in gaps, position unknown`
      : "";
  return `${count(missingReadings)} missing: no. ${named.join(", ")}${more}${metered}`;
}

function sayGap({ firstSeq, lastSeq, knownSince }) {
  const numbers = firstSeq === lastSeq ? `${firstSeq}` : `${firstSeq} to ${lastSeq}`;
  return `${numbers} (since ${sayMoment(knownSince)})`;
}
