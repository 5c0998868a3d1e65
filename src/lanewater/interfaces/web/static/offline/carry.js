/** What the server gave this device to work with for a month, in memory and on disk. */

import { get } from "../ground/api.js";
import { asked, inStores } from "./base.js";
import { onTold, tell } from "./tabs.js";

const KEY = "now";
const HEARD = "heard";
const LATE_MS = 30_000;

/** @type {any} */
let held = null;
let heard = 0;
let asking = null;

/** Read back what was carried. @param {() => void} then called when another tab fetched newer */
export async function openCarry(then = () => {}) {
  await readBack();
  onTold("carry", async () => {
    await readBack();
    then();
  });
}

async function readBack() {
  const [row, at] = await inStores(["carry"], "readonly", ({ carry }) =>
    Promise.all([asked(carry.get(KEY)), asked(carry.get(HEARD))]),
  ).catch(() => []);
  held = row ?? held;
  heard = at ?? heard;
}

/** @returns {any | null} what is carried, null before it ever was */
export function carried() {
  return held;
}

/** When the server last said what is carried, or that it still holds; 0 before it ever did. [UTC ms] */
export function heardAt() {
  return heard;
}

/** Ask for what is newer; throws as `get` does. @returns {Promise<any | null>} what is carried now */
export function refreshCarry() {
  asking ??= fetchCarry().finally(() => {
    asking = null;
  });
  return asking;
}

async function fetchCarry() {
  const answer = await get("/carry", { have: held?.tag ?? "" }, LATE_MS);
  const next = answer.unchanged ? { ...held, now: answer.now } : answer;
  const now = Date.now();
  // What cannot be kept is still good to work with until the page is closed.
  await inStores(["carry"], "readwrite", ({ carry }) => {
    if (!answer.unchanged) carry.put(next, KEY);
    carry.put(now, HEARD);
  }).catch(() => null);
  held = next;
  heard = now;
  tell("carry");
  return held;
}
