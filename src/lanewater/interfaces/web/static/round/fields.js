/** What is read in a round of a pool, and in which order at the bench. */

export const CLARITY = ["visible", "not-visible", "cannot-tell"];
export const CIRCULATION = ["running", "stopped", "unknown"];
const MORE = [
  "total_alkalinity",
  "calcium_hardness",
  "cyanuric_acid",
  "salt",
  "orp_mv",
  "controller_free",
  "controller_ph",
  "turbidity_ntu",
];

/** @param {Record<string, any>} facts of the pool @returns {string[]} */
export function benchFields(facts) {
  if (facts.disinfectant === "not-asked") return [];
  if (facts.disinfectant === "bromine") return ["total_bromine", "ph"];
  if (facts.disinfectant === "other") return ["ph"];
  return ["free_chlorine", "ph", "total_chlorine"];
}

/** @param {Record<string, any>} facts @returns {string[]} */
export function plannedFields(facts) {
  return ["clarity", "temperature_c", ...benchFields(facts)];
}

/** What may be added to a round with one more key. @param {Record<string, any>} facts */
export function moreFields(facts) {
  const usual = benchFields(facts);
  const rest = MORE.filter((one) => !usual.includes(one));
  return facts.disinfectant === "other" ? ["free_chlorine", ...rest] : rest;
}

export function isChlorine(parameter) {
  return ["free_chlorine", "total_chlorine", "total_bromine"].includes(parameter);
}
