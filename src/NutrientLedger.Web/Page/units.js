// Display units. All values arrive in SI, contents in mg/L and dry matter in ppm. The factors are exact by definition
// (international acre, US gallon, avoirdupois pound, foot).
const squareMetresPerAcre = 4046.8564224;
const cubicMetresPerGallon = 0.003785411784;
const kilogramsPerPound = 0.45359237;
const metresPerFoot = 0.3048;
const squareMetresPerHectare = 10000;

const systems = {
  us: {
    area: ["ac", 1 / squareMetresPerAcre, 1],
    volume: ["US\u00a0gal", 1 / cubicMetresPerGallon, 0],
    mass: ["lb", 1 / kilogramsPerPound, 0],
    massPerArea: ["lb/ac", squareMetresPerAcre / kilogramsPerPound, 1],
    volumePerArea: ["US\u00a0gal/ac", squareMetresPerAcre / cubicMetresPerGallon, 0],
    length: ["ft", 1 / metresPerFoot, 1],
    content: ["lb/1,000\u00a0US\u00a0gal", cubicMetresPerGallon / kilogramsPerPound, 2],
    dryness: ["%", 1e-4, 2],
  },
  metric: {
    area: ["ha", 1 / squareMetresPerHectare, 2],
    volume: ["m³", 1, 1],
    mass: ["kg", 1, 0],
    massPerArea: ["kg/ha", squareMetresPerHectare, 1],
    volumePerArea: ["m³/ha", squareMetresPerHectare, 1],
    length: ["m", 1, 2],
    content: ["kg/m³", 1e-3, 2],
    dryness: ["%", 1e-4, 2],
  },
};

const numbers = [0, 1, 2, 3].map(
  (digits) => new Intl.NumberFormat("en-US", { minimumFractionDigits: digits, maximumFractionDigits: digits }),
);
const storedAs = "nutrient-ledger.units";
let system = remembered();

function remembered() {
  try {
    return localStorage.getItem(storedAs) === "metric" ? "metric" : "us";
  } catch {
    // Without storage in this browser the page uses US units.
    return "us";
  }
}

export const chosenSystem = () => system;

export function chooseSystem(name) {
  system = name;
  try {
    localStorage.setItem(storedAs, name);
  } catch {
    // Without storage the choice lasts until the page is closed.
  }
}

/** An amount in the chosen units, rounded for display, with its unit on the same line. */
export function say(kind, amount) {
  const [unit, factor, digits] = systems[system][kind];
  return `${count(amount * factor, digits)}\u00a0${unit}`;
}

/** A signed difference in the chosen units; one that rounds to zero has no sign. */
export function change(kind, before, after) {
  const text = say(kind, after - before);
  if (/^[0.,]*\u00a0/.test(text)) return text;
  return text.startsWith("-") ? text.replace("-", "−") : `+${text}`;
}

/** Converts the cubic metres in a sentence from the hub to the chosen units. */
export const sayCubicMetresIn = (sentence) =>
  sentence.replace(/([\d,]+(?:\.\d+)?) m³/g, (_, number) => say("volume", Number(number.replaceAll(",", ""))));

/** The number and the unit separately, for scales. */
export const inUnit = (kind, amount) => amount * systems[system][kind][1];
export const unitOf = (kind) => systems[system][kind][0];

/** A mass per area; without an area, the mass itself. */
export const sayPerArea = (kilograms, squareMetres) =>
  squareMetres ? say("massPerArea", kilograms / squareMetres) : say("mass", kilograms);

/** A number with thousands separators; a rounded zero has no sign. */
export const count = (number, digits = 0) => numbers[digits].format(number).replace(/^-(?=[0.,]*$)/, "");

/** A count with its noun: "1 reading", "2 readings". */
export const counted = (number, one, many = `${one}s`) => `${count(number)} ${number === 1 ? one : many}`;

export const percent = (share) => `${count(share * 100, share > 0 && share < 0.1 ? 1 : 0)}\u00a0%`;
