/** Readings as the kernel takes them: one way for a round in the making and for one that was written. */

import * as kernel from "../generated/kernel.js";
import { isoDay } from "../ground/time.js";
import { toKernel } from "../strict.js";
import { lotInUse } from "./wire.js";

/**
 * A reading in the kernel's normal form, with what its kit states of its error.
 * @param {{parameter: string, value: string, unit?: string, dilution?: number, point?: string, at: number | null, kit?: string, between?: any}} one
 *   `at`: UTC ms
 * @param {Record<string, any>} kits by id
 */
export function normalReading({ parameter, value, unit, dilution, point, at, kit, between }, kits) {
  const typed = {
    parameter,
    value,
    unit: unit ?? "",
    dilution: dilution ?? 1,
    point: point ?? "",
    at: at === null ? null : Math.floor(at / 1000),
    kit: kit ?? "",
    between: between ?? null,
  };
  return kernel.normal_reading(toKernel(typed), toKernel(kits[kit] ?? null));
}

/** The readings between two colours. @param {any[]} readings */
export function betweenColours(readings) {
  return readings
    .filter((one) => one.between)
    .map(({ parameter, point, between }) => ({ parameter, point: point ?? "", ...between }));
}

/**
 * The readings made with a lot past its date; a lot that is not said is the only one that the kit has.
 * @param {{parameter: string, kit?: string, lot?: string}[]} readings @param {any[]} reagents
 * @param {number} at when the round was taken. [UTC ms]
 */
export function expiredLots(readings, reagents, at) {
  const day = isoDay(at);
  return readings.flatMap(({ parameter, kit, lot: said }) => {
    const lot = said || (kit ? lotInUse(parameter, kit, reagents) : "");
    const date = reagents.findLast((one) => one.parameter === parameter && one.lot === lot)?.expires_on;
    return lot && date && date < day ? [{ parameter, lot, expired: date }] : [];
  });
}
