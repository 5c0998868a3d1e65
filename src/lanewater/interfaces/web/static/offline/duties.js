/** What is due at this device, with a network or without: the one list, what was done of it, and what happened. */

import * as kernel from "../generated/kernel.js";
import { post } from "../ground/api.js";
import { fromKernel, toKernel } from "../strict.js";
import { carried } from "./carry.js";
import { fact } from "./local.js";
import { factsOf, siteFacts } from "./view.js";
import { whoIsHere } from "./who.js";

/** What may have happened that a test is asked for after, in the order of its keys. */
export const EVENTS = ["rain", "dust", "crowd", "shutdown", "restart", "contamination", "fault"];

/**
 * What is due, for whoever is here: rows in the order of time.
 * @returns {{mine: any[], others: any[], later: any[]}}
 */
export function dueList(at = Date.now()) {
  const carry = carried();
  if (carry === null) return { mine: [], others: [], later: [] };
  const places = [...carry.pools.map(({ pool }) => factsOf(pool)), siteFacts()].filter(Boolean);
  const person = carry.people.find((one) => one.id === whoIsHere().person);
  return fromKernel(kernel.due_list(places, toKernel(person?.roles ?? []), at));
}

/** A duty was done, was not needed, or was not done. @param {any} row of the list @param {string} answer */
export function answerDuty(row, answer) {
  const body = { duty: row.id, answer, ...(row.pool && { pool: row.pool }) };
  return fact("duty-done", body, {}, () => post("/duties/done", body));
}

/** Something happened. @param {string} what @param {string} pool "" for the whole site */
export function noteEvent(what, pool) {
  const body = { what, ...(pool && { pool }) };
  return fact("event-noted", body, {}, () => post("/events", body));
}
