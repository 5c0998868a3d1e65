/**
 * Everyone out: kept on this device before anything else, then put on the record. Until the record has
 * it, the page says so.
 */

import { record, unsent } from "../offline/outbox.js";
import { ownDevice } from "../offline/device.js";
import { here, pools } from "./store.js";
import { stamp } from "./time.js";
import { post } from "./api.js";

const PLACE = "lanewater.stops";
const KIND = "everyone-out";

/**
 * Call everyone out of a pool. A browser that signs for itself has it on disk when this resolves; any
 * other keeps it as well as it can and resolves with the server's answer.
 * @param {string} pool
 * @param {string} stop why
 * @param {object} [more] nobody_in, words
 * @returns {Promise<{entry: string, saved: "here"|"record", also_look: string[]}>}
 */
export async function callOut(pool, stop, more = {}) {
  const at = Date.now();
  let lost = null;
  if (ownDevice() && !here.keeps) {
    try {
      const entry = await record(KIND, { pool, stop, ...more }, { at });
      return { entry: entry.id, saved: "here", also_look: sharing(pool) };
    } catch (error) {
      // A disk that takes nothing must not keep anybody in the water: the server may still take it.
      lost = error;
    }
  }
  const call = { pool, body: { stop, at: stamp(at), ...more } };
  write([...keptStops(), call]);
  try {
    return { ...(await send(call)), saved: "record" };
  } catch (error) {
    throw lost ?? error;
  }
}

/** The other pools on the same filter. */
function sharing(pool) {
  const circuit = pools().find((one) => one.pool === pool)?.circuit;
  return pools().filter((one) => circuit && one.circuit === circuit && one.pool !== pool).map((one) => one.pool);
}

/** What a browser without a key of its own keeps, and has not sent yet. @returns {any[]} */
export function keptStops() {
  try {
    return JSON.parse(localStorage.getItem(PLACE) ?? "[]");
  } catch {
    return [];
  }
}

/** How many calls of everyone out are not on the record yet. @returns {Promise<number>} */
export async function stopsWaiting() {
  const waiting = ownDevice() ? (await unsent()).filter(({ kind }) => kind === KIND).length : 0;
  return waiting + keptStops().length;
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
