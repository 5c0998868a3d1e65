/**
 * A doubtful number, and the next thing to do with one's hands: one table. The kernel finds what
 * is odd and says why; here stands what is offered first. Words: `help.ID`.
 *
 * @typedef {object} Help
 * @property {string} draw which drawing
 * @property {"again"|"dilute"|"look"|"kit"|"none"} act what its key does: test again, test again
 *   diluted, open the field, test again with another kit; none has no key
 * @property {number} [parts] dilute: 1 part made up to so many
 * @property {string[]} [only] which of the finding's parameters are tested again
 * @property {boolean} [asks] what else speaks for it is asked beside the step: `help.ID.ask`
 */

/** @type {Record<string, Help>} */
export const HELP = {
  "possible-bleaching": { draw: "dilute", act: "dilute", parts: 10, only: ["free_chlorine", "total_chlorine"], asks: true },
  "real-none": { draw: "plant", act: "none" },
  "impossible-pair": { draw: "sample", act: "again" },
  "combined-given-apart": { draw: "sample", act: "again" },
  surprising: { draw: "sample", act: "again" },
  "over-range": { draw: "dilute", act: "dilute", parts: 5 },
  "at-range-top": { draw: "dilute", act: "dilute", parts: 5 },
  "forgotten-dilution": { draw: "dilute", act: "dilute", parts: 5, asks: true },
  "ph-outside-indicator": { draw: "probe", act: "again" },
  "ph-at-high-chlorine": { draw: "probe", act: "again" },
  "expired-reagent": { draw: "dated", act: "again" },
  "kit-not-accepted": { draw: "otherKit", act: "kit" },
  "between-colours": { draw: "daylight", act: "none" },
  "tenfold-slip": { draw: "retype", act: "look" },
  fahrenheit: { draw: "warmth", act: "look" },
  "decimal-comma": { draw: "retype", act: "look" },
  unreadable: { draw: "retype", act: "look" },
};
