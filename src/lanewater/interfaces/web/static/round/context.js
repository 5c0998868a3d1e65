/** What the server knows of a pool that a round needs: facts, rules, history, kits, points. */

import { get } from "../ground/api.js";

/** @type {Map<string, any>} */
const known = new Map();

/** @param {string} pool @returns {any} null while it has not been heard */
export function contextOf(pool) {
  return known.get(pool) ?? null;
}

/** @param {string} pool */
export async function fetchContext(pool) {
  const found = await get(`/pools/${pool}/context`);
  known.set(pool, found);
  return found;
}
