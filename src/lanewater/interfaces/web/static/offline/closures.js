/** Closing for cause and what follows: scope, an order that is lifted, who was notified, the sign, deadlines. */

import { post } from "../ground/api.js";
import { pools } from "../ground/store.js";
import { decide, fact } from "./local.js";

const DECISION_LATE_MS = 8_000;

/** The pools that one closing closes beside the one it is said of. @param {any} row @param {string} scope */
export function closedWith(row, scope) {
  if (scope === "site") return pools().map((one) => one.pool).filter((pool) => pool !== row.pool);
  return scope === "circuit" ? row.same_filter : [];
}

/**
 * Close a pool for a reason, or shut it for the hours; each pool of its scope gets a line of its own.
 * @param {any} row
 * @param {{kind: string, reason?: string, pin?: string, clause?: string, scope?: string, by_order?: boolean,
 *   authority?: string, reference?: string, round?: string}} given
 */
export async function close(row, { reason, pin, ...details }) {
  const sent = { ...details, ...(reason && { reason }), ...(pin && { pin }) };
  const body = { pool: row.pool, ...details };
  const send = () => post(`/pools/${row.pool}/close`, sent, DECISION_LATE_MS);
  const found = await decide("pool-closed", body, { reason, pin, send });
  if (found.saved === "here") {
    for (const pool of closedWith(row, details.scope)) await fact("pool-closed", { ...body, pool }, { reason }, send);
  }
  return found;
}

/** An authority lifted its order. @param {any} row @param {any} closure @param {any} given */
export function lift(row, closure, { pin, authority, reference }) {
  const said = { closure: closure.entry, authority, ...(reference && { reference }) };
  const send = () => post(`/pools/${row.pool}/lift`, { ...said, pin }, DECISION_LATE_MS);
  return decide("closure-lifted", { pool: row.pool, ...said }, { pin, send });
}

/** An authority was notified of a closing, an incident or a round. */
export function notified(pool, about, { authority, deadline, how }) {
  const said = { about, authority, ...(deadline && { deadline }), ...(how && { how }) };
  return fact("authority-notified", { pool, ...said }, {}, () => post(`/pools/${pool}/notified`, said));
}

/** A sign was put up. @param {string} pool @param {string} about @param {string[]} languages */
export function posted(pool, about, languages) {
  const said = { about, languages };
  return fact("notice-posted", { pool, ...said }, {}, () => post(`/pools/${pool}/notice`, said));
}

/** Somebody says that a deadline of the rules was met. */
export function deadlineMet(pool, about, deadline) {
  const said = { about, deadline };
  return fact("deadline-met", { pool, ...said }, {}, () => post(`/pools/${pool}/deadline-met`, said));
}
