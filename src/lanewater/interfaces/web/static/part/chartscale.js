/** Where a chart's numbers and days stand on its two edges. */

import { numberShown } from "../ground/locale.js";

import { day } from "../ground/time.js";

const STEPS = [1, 2, 5];
const DAY_STEPS = [1, 2, 4, 7, 14, 28, 56, 91, 182];
const LABEL_PX = 56;
const LEAST_SPAN = { free_chlorine: 0.5, combined_chlorine: 0.2, ph: 0.4, total_alkalinity: 20, cyanuric_acid: 20 };

/**
 * Give the lowest and highest number shown: all readings, and the limits that lie near them.
 * @param {any} series
 */
export function scaleOf(series) {
  const numbers = series.rows.flatMap((row) => [Number(row.low), Number(row.high)]);
  const least = LEAST_SPAN[series.parameter];
  let low = Math.min(...numbers);
  let high = Math.max(...numbers);
  const near = Math.max(high - low, least);
  for (const limit of series.limits.flatMap((one) => [one.low, one.high]).filter(Boolean).map(Number)) {
    if (limit < low && limit >= low - near) low = limit;
    if (limit > high && limit <= high + near) high = limit;
  }
  const room = Math.max((high - low) * 0.08, (least - (high - low)) / 2);
  low -= room;
  if (low < 0) low = 0;
  return { low, high: high + room };
}

/** Give three to six round numbers between the ends. */
export function ticksOf({ low, high }) {
  const rough = (high - low) / 4;
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = power * (STEPS.find((one) => one * power >= rough) ?? 10);
  const decimals = Math.max(0, -Math.floor(Math.log10(step)));
  const found = [];
  for (let count = Math.ceil(low / step); count * step <= high; count += 1) {
    found.push({ at: count * step, words: numberShown((count * step).toFixed(decimals)) });
  }
  return found;
}

/** How many days lie between two dates that still stand apart. */
export function dayStep(days, width) {
  const most = Math.max(2, Math.floor(width / LABEL_PX));
  return DAY_STEPS.find((step) => days / step <= most) ?? 365;
}

/** "12 Nov" */
export function dateWords(at) {
  return day(at).split(" ").slice(0, 2).join(" ");
}
