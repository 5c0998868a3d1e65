/**
 * When what waits is sent: at once, when the network is back, when somebody looks at the page, and now
 * and then. One tab sends for all. The page says how much is not on the record yet.
 */

import { contact } from "../ground/api.js";
import { here, redraw } from "../ground/store.js";
import { asked, inStores } from "./base.js";
import { ownDevice } from "./device.js";
import { push, sendingFailed, troubleSoFar } from "./push.js";
import { onTold, tell } from "./tabs.js";

const LOCK = "lanewater.send";
const FIRST_WAIT_MS = 1_000;
const LONGEST_WAIT_MS = 60_000;
const MOST_ROUNDS = 50;

/** @type {((sending: Sending) => void)[]} */
const hearing = [];

/**
 * @typedef {object} Sending how things stand between this device and the record
 * @property {number} waiting facts that the record has not
 * @property {number} aside of those, what it will never take as it is
 * @property {string} oldest when the oldest of them was written, "" where there is none
 * @property {{id: string, kind: string, pool: string, at: string, why: string}[]} refused what stands aside
 * @property {string} trouble a word of what is wrong, "" where nothing is
 */

/** @type {Sending} */
export const sending = { waiting: 0, aside: 0, oldest: "", refused: [], trouble: "" };

let running = null;
let again = false;
let failures = 0;
let timer = 0;

/** Begin to send, and to hear of what other tabs do. */
export async function start() {
  onTold("facts", () => count());
  addEventListener("online", hurry);
  document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && hurry());
  contact.changed = showContact;
  showContact();
  await count();
  if (sending.waiting > 0) hurry();
}

/** Be called at every change of how things stand. @param {(sending: Sending) => void} then */
export function onChange(then) {
  hearing.push(then);
}

/** A fact was written: count it, tell the others, send it. */
export function heardNew() {
  // Who reads "saved" reads that it is not sent in the same moment; the counting comes after.
  document.body.dataset.unsent = String(Number(document.body.dataset.unsent ?? 0) + 1);
  tell("facts");
  count().catch(() => null);
  hurry();
}

/** Forget how long the last tries were in vain, and try now. */
export function hurry() {
  failures = 0;
  flush();
}

/** Send all that waits, as far as the server takes it; it resolves when that is tried, and never throws. */
export function flush() {
  again = true;
  running ??= sendAll().finally(() => {
    running = null;
    // Asked for while the end of it was counted: that round is over, and nobody else would send it.
    return again ? flush() : undefined;
  });
  return running;
}

async function sendAll() {
  if (!ownDevice() || !navigator.locks) {
    again = false;
    return;
  }
  clearTimeout(timer);
  try {
    await navigator.locks.request(LOCK, inRounds);
    failures = 0;
  } catch (error) {
    // Whatever went wrong, all that waits is still there.
    failures += 1;
    await sendingFailed(error).catch(() => null);
  }
  await count().catch(() => null);
  if (sending.waiting > sending.aside) later();
}

async function inRounds() {
  for (let round = 0; again && round < MOST_ROUNDS; round += 1) {
    again = false;
    if ((await count()).waiting === sending.aside) return;
    if (await push()) again = true;
    tell("facts");
  }
  again = false;
}

function later() {
  clearTimeout(timer);
  const wait = Math.min(FIRST_WAIT_MS * 2 ** failures, LONGEST_WAIT_MS);
  failures = Math.min(failures + 1, 16);
  // Not all tablets of a house at the same moment.
  timer = setTimeout(flush, wait * (0.75 + Math.random() / 2));
}

/** Count what waits, and show it. @returns {Promise<Sending>} */
export async function count() {
  const open = ownDevice()
    ? await inStores(["facts"], "readonly", ({ facts }) => asked(facts.index("open").getAll())).catch(() => [])
    : [];
  const waiting = open.length;
  const refused = open.filter((fact) => fact.aside).map(shown);
  const oldest = open.map((fact) => fact.entry.rec).sort()[0] ?? "";
  Object.assign(sending, { waiting, aside: refused.length, oldest, refused, trouble: await troubleSoFar() });
  document.body.dataset.unsent = String(waiting);
  for (const then of hearing) then(sending);
  redraw();
  return sending;
}

function shown({ id, entry, why }) {
  return { id, kind: entry.type, pool: entry.body.pool ?? "", at: entry.at, why };
}

/** Whether the server answered the last time it was asked. */
function showContact() {
  document.body.dataset.offline = contact.lost > contact.at ? "yes" : "no";
  const away = contact.lost > contact.at;
  if (here.away === away) return;
  here.away = away;
  if (!away && sending.waiting > 0) hurry();
  redraw();
}
