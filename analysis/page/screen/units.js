// How a quantity is shown in the chosen units, and how a bare number is understood. The file is never converted.

const SYSTEMS = {
  length: {
    metric: /\d\s*(cm|mm|m|centi\w+|milli\w+|met\w+)\b/i,
    us: /\d\s*(in|ft|inch\w*|foot|feet)\b|["'″′]/i,
  },
  temperature: { metric: /\d\s*(deg\w*\s*|°\s*)?c/i, us: /\d\s*(deg\w*\s*|°\s*)?f/i },
  volume: { metric: /\d\s*(m?l|lit\w+)\b/i, us: /us[ -]gal/i },
};
const UNITS = {
  length: { metric: "cm", us: "in" },
  temperature: { metric: "C", us: "F" },
  volume: { metric: "L", us: "US gal" },
};
export const CM = { metric: 1, us: 2.54 }; // in one of the units of lengths
const US = {
  length: (cm) => cm / CM.us,
  temperature: (celsius) => celsius * 1.8 + 32,
  volume: (litres) => litres / 3.785411784,
};
const BARE = /^[+-]?(\d+([.,]\d*)?|[.,]\d+)$/;
const BARE_FRACTION = /^\d+(\s+\d+\/\d+)?$|^\d+\/\d+$/;
const BARE_RANGE = /^[\d.,]+\s*(-|–|to)\s*[\d.,]+$/;

/** Whether a length is written in inches or feet. */
export const isImperial = (text) => SYSTEMS.length.us.test(text);

const isNumber = (text) => BARE.test(text);
const asNumber = (text) => Number(text.replace(",", "."));

/** Two decimals at most: what is shown, never what is written. */
export const short = (number) => String(Math.round(number * 100) / 100);

export const held = (value, most, least = 0) => Math.max(least, Math.min(most, value));

export const tenths = (value) => Math.round(value * 10) / 10;

export const isNone = (value) => value === null || value === undefined;
const inUnits = (kind, value, system) => short(system === "us" ? US[kind](value) : value);

/** The unit a bare number is taken in, "" for kinds without one. */
export const unitOf = (kind, system) => UNITS[kind]?.[system] ?? "";

/** A base value (cm, C, L, a share of 1) in the chosen units: "48 in", "40 %". */
export function shown(kind, value, system) {
  if (kind === "share") return `${short(value * 100)} %`;
  if (!UNITS[kind]) return String(value);
  return `${inUnits(kind, value, system)} ${unitOf(kind, system)}`;
}

/**
 * The text of a field: as it was written where that is in the chosen units or cannot be read, converted where not.
 * `inherited`: in a copy a field that is not set shows what it has from the tank.
 */
export function fieldText(field, system, inherited = false) {
  const { kind, written, value } = field;
  if (isNone(written)) return inherited && value !== null ? shown(kind, value, system) : "";
  if (isNone(value)) return String(written);
  if (kind === "share" && typeof written === "number") return shown(kind, value, system);
  if (!UNITS[kind]) return String(written);
  const spelled = typeof written === "string" && SYSTEMS[kind][system].test(written);
  return spelled ? written : shown(kind, value, system);
}

/** The same for a length that may be a range, {written, low, high} in cm. */
export function rangeText(length, system) {
  const { written, low, high } = length ?? {};
  if (isNone(written)) return "";
  if (isNone(low)) return [written].flat().join(" to ");
  if (typeof written === "string" && SYSTEMS.length[system].test(written)) return written;
  if (low === high) return shown("length", low, system);
  return `${inUnits("length", low, system)} to ${shown("length", high, system)}`;
}

/**
 * What is written into the file for what was typed; null takes the key out. A bare number is one in the chosen units;
 * a text with a unit goes into the file as it was typed.
 */
export function typedValue(kind, typed, system) {
  const text = typed.trim();
  if (text === "") return null;
  if (kind === "text" || kind === "word") return typed;
  if (kind === "share" && isNumber(text)) return asNumber(text);
  const unit = unitOf(kind, system);
  if (!unit) return isNumber(text) ? asNumber(text) : text;
  if (system !== "us" && isNumber(text)) return asNumber(text);
  const isBare = BARE_RANGE.test(text) || (system === "us" && (isNumber(text) || BARE_FRACTION.test(text)));
  return isBare ? `${text} ${unit}` : text;
}

export function standardText({ kind, standard }, system) {
  return isNone(standard) ? "" : shown(kind, standard, system);
}
