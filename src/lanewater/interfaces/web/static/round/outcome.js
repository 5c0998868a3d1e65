/** From the kernel's answer to what is said first: the water and the people, then the rules. */

import { say } from "../ground/words.js";

const FAILS = ["does-not-meet", "does-not-meet-borderline"];
const ORDERS = ["close", "evacuate"];

/**
 * What stands at the head of a result.
 * @param {any} answer a judgement
 * @param {boolean} open whether people may be in the water
 * @returns {{outcome: string, people: string, rules: string}}
 */
export function headOf(answer, open) {
  const overall = overallOf(answer);
  const rules = say(`outcome.${overall}`);
  if (answer.stops.length) return { outcome: "stop", people: peopleOut(open), rules };
  if (overall === "evacuate") return { outcome: "evacuate", people: say("people.out"), rules };
  if (overall === "close") return { outcome: "close", people: peopleOut(open), rules };
  if (FAILS.includes(overall)) return { outcome: overall, people: undecided(open), rules };
  if (overall === "not-judged") return { outcome: overall, people: undecided(open), rules };
  return { outcome: overall, people: open ? "" : say("people.not-open"), rules };
}

/** A pass that came of a change after the result is none until the test is repeated. */
export function overallOf(answer) {
  if (answer.changed_to_pass && answer.overall.startsWith("meets")) return "not-judged";
  return answer.overall;
}

function peopleOut(open) {
  return say(open ? "people.out" : "people.keep-out");
}

/** The rules order nothing: whoever decides is asked, and asked now where people are in. */
function undecided(open) {
  return say(open ? "people.ask" : "people.keep-out");
}

export function fails(answer) {
  const overall = overallOf(answer);
  return answer.stops.length > 0 || [...FAILS, ...ORDERS, "not-judged"].includes(overall);
}

/** Rows that are broken or undecided first, in the order of the pack; then those that meet. */
export function rowsInOrder(answer) {
  const bad = answer.results.filter((row) => !row.verdict.startsWith("meets"));
  const good = answer.results.filter((row) => row.verdict.startsWith("meets"));
  return { bad, good };
}
