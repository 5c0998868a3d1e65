/**
 * Everyone out: kept on this device before anything else, then put on the record. Until the
 * server has answered, the page says so.
 */

import { post } from "./api.js";
import { stamp } from "./time.js";

const PLACE = "lanewater.stops";

/** @returns {any[]} what is kept here and not on the record yet */
export function keptStops() {
  try {
    return JSON.parse(localStorage.getItem(PLACE) ?? "[]");
  } catch {
    return [];
  }
}

function write(stops) {
  try {
    localStorage.setItem(PLACE, JSON.stringify(stops));
  } catch {
    // Sending goes on without it.
  }
}

/**
 * Call everyone out of a pool.
 * @param {string} pool
 * @param {string} stop why
 * @param {object} [more] nobody_in, words
 * @returns {Promise<any>} the server's answer
 */
export async function callOut(pool, stop, more = {}) {
  const call = { pool, body: { stop, at: stamp(Date.now()), ...more } };
  write([...keptStops(), call]);
  const answer = await send(call);
  drop(call);
  return answer;
}

function send({ pool, body }) {
  return post(`/pools/${pool}/everyone-out`, body);
}

function drop(call) {
  write(keptStops().filter((one) => JSON.stringify(one) !== JSON.stringify(call)));
}

/** Send what could not be sent before; what the server refuses stays, in sight. */
export async function sendKept() {
  for (const call of keptStops()) {
    await send(call);
    drop(call);
  }
}
