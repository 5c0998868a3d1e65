/** A unit beside every number, in the units the site works in. */

import { numberShown } from "./locale.js";
import { here } from "./store.js";
import { say, sayOr } from "./words.js";

/** "C" or "F". */
export function temperatureUnit() {
  return here.me?.site?.units?.temperature ?? "C";
}

/** The unit shown beside a parameter's number; "" for pH. @param {string} parameter */
export function unitOf(parameter) {
  if (parameter === "temperature_c") return say(`unit.${temperatureUnit()}`);
  return sayOr(`unit.${parameter}`, "");
}

/** What a typed number is sent with; "" where it is the parameter's own unit. */
export function unitTyped(parameter) {
  return parameter === "temperature_c" && temperatureUnit() === "F" ? "F" : "";
}

/** Whether amounts are measured out in US measures here. */
export function dosesInUs() {
  return here.me?.site?.units?.dose === "us";
}

/** A temperature with the unit it was read in. */
export function shownTemperature(reading) {
  return `${numberShown(reading.value)} ${say(`unit.${reading.unit === "F" ? "F" : "C"}`)}`;
}
