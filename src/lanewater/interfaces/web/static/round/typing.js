/**
 * A number as it is typed. The kit's format places the point, so that 1 5 2 is 1.52 and a field is
 * finished without another key; a point that is typed always wins, and ends the pattern.
 */

/**
 * @typedef {object} Format
 * @property {number} whole digits before the point in the pattern
 * @property {number} decimals digits after it; 0 where the number of digits is open
 * @property {string} low lowest the kit reads, "" where not stated
 * @property {string} high highest the kit reads, "" where not stated
 * @property {string} step from one colour, or one shown number, to the next; "" where not stated
 */

const MOST_DIGITS = 7;
const OPEN = { whole: 0, decimals: 0, low: "", high: "", step: "" };
const BEFORE_POINT = { temperature_c: 2 };
/** A thermometer is no test kit; nearly all show tenths. */
const TENTHS = { whole: 2, decimals: 1, low: "", high: "", step: "" };

/**
 * Give the format in which a kit shows a parameter.
 * @param {{ranges?: any[]} | undefined} kit
 * @param {string} parameter
 * @returns {Format}
 */
export function formatOf(kit, parameter) {
  const range = (kit?.ranges ?? []).find((one) => one.parameter === parameter);
  if (range === undefined) return parameter === "temperature_c" ? TENTHS : OPEN;
  const decimals = (range.step ?? "").split(".")[1]?.length ?? 0;
  return {
    whole: BEFORE_POINT[parameter] ?? 1,
    decimals,
    low: range.low ?? "",
    high: range.high ?? "",
    step: range.step ?? "",
  };
}

/** Give the number that a row of typed keys stands for. @param {string} keys @param {Format} format */
export function numberTyped(keys, format) {
  if (keys.includes(".") || format.decimals === 0 || keys.length <= format.whole) return keys;
  return `${keys.slice(0, format.whole)}.${keys.slice(format.whole)}`;
}

/** Tell whether the format is full, so that nothing more is to come. */
export function isFull(keys, format) {
  const [, decimals] = numberTyped(keys, format).split(".");
  return format.decimals > 0 && (decimals ?? "").length >= format.decimals;
}

/** Tell whether a key would be a digit past the last one that the kit shows. */
export function isPast(keys, key, format) {
  return /^\d$/.test(key) && isFull(keys, format);
}

/** Tell whether what is typed may be taken as a number once the field is left. */
export function isNumber(keys, format) {
  return /^\d+(\.\d*)?$/.test(numberTyped(keys, format));
}

/** Give the text that is kept of a finished field: no point left hanging. */
export function kept(keys, format) {
  return numberTyped(keys, format).replace(/\.$/, "");
}

/**
 * Take one key of the keypad.
 * @param {string} keys what was typed so far
 * @param {string} key "0" to "9", "." or "delete"
 */
export function press(keys, key) {
  if (key === "delete") return keys.slice(0, -1);
  if (key === ".") {
    if (keys.includes(".")) return keys;
    return keys === "" ? "0." : `${keys}.`;
  }
  return keys.replace(".", "").length < MOST_DIGITS ? keys + key : keys;
}

/** Give the reading for "over range": above what is typed, else above what the kit reads. */
export function overRange(keys, format) {
  const end = isNumber(keys, format) ? kept(keys, format) : format.high;
  return end === "" ? "" : `>${end}`;
}

/** Give the reading for "under range" and "no colour": below the kit's lowest, 0 where not stated. */
export function underRange(keys, format) {
  const end = isNumber(keys, format) ? kept(keys, format) : format.low;
  return /[1-9]/.test(end) ? `<${end}` : "0";
}
