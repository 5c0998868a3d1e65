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

/** Those on their way now, so that none is sent twice. */
const onTheWay = new Set();

/**
 * Call everyone out of a pool.
 * @param {string} pool
 * @param {string} stop why
 * @param {object} [more] nobody_in, words
 * @returns {Promise<any>} the server's answer
 */
export function callOut(pool, stop, more = {}) {
  const call = { pool, body: { stop, at: stamp(Date.now()), ...more } };
  write([...keptStops(), call]);
  return send(call);
}

async function send(call) {
  const mark = JSON.stringify(call);
  onTheWay.add(mark);
  try {
    const answer = await post(`/pools/${call.pool}/everyone-out`, call.body);
    write(keptStops().filter((one) => JSON.stringify(one) !== mark));
    return answer;
  } finally {
    onTheWay.delete(mark);
  }
}

/** Send what could not be sent before; what the server does not take stays, in sight. */
export async function sendKept() {
  for (const call of keptStops()) {
    if (!onTheWay.has(JSON.stringify(call))) await send(call).catch(() => null);
  }
}
