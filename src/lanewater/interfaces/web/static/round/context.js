/** What is known of a pool that a round needs: facts, rules, history, kits, points; carried by this device. */

import { context, heed } from "../offline/view.js";

/** @param {string} pool @returns {any} null while nothing is carried of it */
export function contextOf(pool) {
  return context(pool);
}

/** The context of a pool; asks the server first only where nothing is carried yet. @param {string} pool */
export async function fetchContext(pool) {
  if (context(pool) === null) await heed();
  return context(pool);
}
