/**
 * Who is at this device: through the server where it answers, else by a PIN checked here. The device
 * keeps who is here, so that a reload without network does not sign them out; being left alone does.
 */

import { ApiError, contact, post } from "../ground/api.js";
import { here } from "../ground/store.js";
import { readState, writeState } from "./base.js";
import { ownDevice } from "./device.js";
import { grantsHeld, learn, tryPin } from "./pin.js";
import { onTold, tell } from "./tabs.js";

const KEY = "session";
const OWED = "sign-out-owed";
const LONGEST_MS = { shared: 5 * 60_000, office: 30 * 60_000 };
const TOUCH_EVERY_MS = 5_000;
const LATE_MS = 6_000;

/**
 * @typedef {object} Session who is here
 * @property {string} person "" where nobody is
 * @property {boolean} unlisted somebody who is not on the list
 * @property {""|"server"|"device"} how who checked the PIN
 * @property {import("./pin.js").Grant | null} grant
 * @property {number} since [UTC ms]
 * @property {number} touched [UTC ms]
 */

/** @returns {Session} */
const nobody = () => ({ person: "", unlisted: false, how: "", grant: null, since: 0, touched: 0 });

let session = nobody();
let changed = () => {};

/** @param {() => void} then called when another tab changed who is here */
export async function openSession(then = () => {}) {
  changed = then;
  await readBack();
  onTold("session", async () => {
    await readBack();
    changed();
  });
}

async function readBack() {
  const found = (await readState(KEY).catch(() => null)) ?? nobody();
  const fresh = Date.now() - found.touched < longest();
  session = found.person === "" || fresh ? found : nobody();
  here.unlisted = session.unlisted && fresh;
}

function longest() {
  return LONGEST_MS[ownDevice()?.kind] ?? LONGEST_MS.shared;
}

async function keep(next) {
  session = { ...next, touched: Date.now() };
  here.unlisted = next.unlisted;
  await writeState(KEY, session).catch(() => null);
  tell("session");
}

/** @returns {Session} */
export function whoIsHere() {
  return session;
}

/** What an entry written now says of who acts, and the server's word for it. */
export function actingNow() {
  const { person, grant } = session;
  const through = ownDevice()?.device;
  const method = person && grant ? "pin" : "none";
  return { user: person || "unlisted", auth: { method, verified: false, through }, grant: method === "pin" ? grant : null };
}

/**
 * Sign in: the server proves the PIN where it answers, else this device does.
 * @param {string} person @param {string} pin
 * @returns {Promise<Session>}
 */
export async function signInHere(person, pin) {
  // Where the server did not answer the last time, nobody is kept waiting for it.
  if (here.away && (await knows(person))) return signInAlone(person, pin);
  let answer;
  try {
    answer = await post("/sign-in", { person, pin }, LATE_MS);
  } catch (error) {
    if (error.id !== "unreachable" || !ownDevice()) throw error;
    return signInAlone(person, pin);
  }
  // Who signs in is not kept waiting for what only matters without network.
  if (answer.grant) learn(person, pin, answer.grant).catch(() => null);
  await owe(false);
  await keep({ ...nobody(), person, how: "server", grant: answer.grant ?? null, since: Date.now() });
  return session;
}

/** Whether this device can check a person's PIN by itself. */
async function knows(person) {
  const held = await grantsHeld().catch(() => []);
  return held.some((one) => one.person === person && !one.locked && one.expires > Date.now());
}

async function signInAlone(person, pin) {
  const { found, grant, left } = await tryPin(person, pin);
  if (found !== "fits") throw Object.assign(new ApiError(`pin-${found}`, ""), { left });
  await owe(true);
  await keep({ ...nobody(), person, how: "device", grant, since: Date.now() });
  return session;
}

/**
 * Have this device check the PIN of whoever is here, for what only they may decide without the server.
 * @param {string} person @param {string} pin
 * @returns {Promise<void>} once it fits; throws an ApiError pin-… where it does not
 */
export async function proveHere(person, pin) {
  const { found, grant, left } = await tryPin(person, pin);
  if (found !== "fits") throw Object.assign(new ApiError(`pin-${found}`, ""), { left });
  await keep({ ...session, person, grant });
}

/** Sign out, here at once and at the server as soon as it answers. */
export async function signOutHere() {
  await owe(true);
  await keep(nobody());
  await pay();
}

/** Somebody who is not on the list takes the device. */
export async function beUnlistedHere() {
  await owe(true);
  await keep({ ...nobody(), unlisted: true, since: Date.now() });
  await pay();
}

/** Pay now where the server answers, else whenever it does. */
async function pay() {
  const paid = payOwed();
  if (!here.away) await paid;
}

/** The server may still hold a session of somebody who has left. */
async function owe(owed) {
  await writeState(OWED, owed).catch(() => null);
}

/** End at the server the session of whoever left while it did not answer. */
export async function payOwed() {
  if ((await readState(OWED).catch(() => false)) !== true) return;
  try {
    await post("/sign-out", {}, LATE_MS);
  } catch (error) {
    if (error.id === "unreachable") return;
  }
  await owe(false);
}

/** Take over who the server says is here, where this device knows nobody else. @param {string | null} person */
export async function heardFromServer(person) {
  if (session.how === "device" || session.unlisted) return;
  if ((person ?? "") === session.person) return;
  await keep(person ? { ...nobody(), person, how: "server", since: Date.now() } : nobody());
}

/** Somebody touched the device. */
export function touched(now = Date.now()) {
  if (!session.since || now - session.touched < TOUCH_EVERY_MS) return;
  session = { ...session, touched: now };
  writeState(KEY, session).catch(() => null);
}

/** Whether whoever is here has left the device alone for too long. */
export function leftAlone(now = Date.now()) {
  return session.since > 0 && Math.abs(now - session.touched) >= longest();
}

/** Whether the server answered this device lately. */
export function serverAnswers(now = Date.now()) {
  return contact.at > contact.lost && now - contact.at < 60_000;
}
