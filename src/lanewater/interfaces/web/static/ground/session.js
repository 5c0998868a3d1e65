/** Who is here and what the site is: asked of the server where it answers. */

import { deviceOf, enrolProof, forgetKey, keepDevice, lastDevice, makeKey, ownDevice } from "../offline/device.js";
import { alone, beginAnew } from "../offline/chain.js";
import { refreshCarry } from "../offline/carry.js";
import { flush } from "../offline/sync.js";
import { hasView, renew } from "../offline/view.js";
import { beUnlistedHere, heardFromServer, payOwed, signInHere, signOutHere } from "../offline/who.js";
import { get, post } from "./api.js";
import { sendKept } from "./stops.js";
import { here, redraw } from "./store.js";
import { setZone } from "./time.js";
import { witness } from "./witness.js";

/** Ask who is here and what the site is; without an answer what was known stays. */
export async function refresh() {
  try {
    await payOwed();
    here.me = await get("/me");
    setZone(here.me.site.timezone ?? "UTC");
    await heardFromServer(here.me.person);
    if (here.me.enrolled) await askSite();
  } catch {
    // Whether the server can be reached is told where it is asked; what was known stays.
  }
  await renew();
  redraw();
}

async function askSite() {
  await refreshCarry().catch(() => null);
  if (!hasView()) [here.site, here.people] = await Promise.all([get("/site/public"), get("/people")]);
  await sendKept();
  witness();
  flush();
}

/**
 * Enrol this browser; one that can keep a key of its own signs for itself from then on.
 * @param {string} key @param {string} name @param {"shared"|"office"} kind
 */
export async function enrol(key, name, kind) {
  if (here.keeps) await post("/enrol", { key, name, kind });
  else await enrolWithKey(key, name, kind);
  await refresh();
}

async function enrolWithKey(key, name, kind) {
  const made = await makeKey();
  const signing = await enrolProof(made, key, name, kind);
  try {
    const answer = await post("/enrol", { key, name, kind, signing });
    if (answer.device !== (await deviceOf(made.public_key))) throw new Error("another device than this key's");
    if ((await lastDevice()) !== answer.device) await alone(beginAnew);
    await keepDevice(made, answer, name, kind);
  } catch (error) {
    // A key that the record knows as revoked enrols no more; the next try makes another. A first key
    // that opens nothing is refused as well, and must not cost this device its own.
    if (error.id === "refused" && /\brevoked\b/.test(error.message)) await forgetKey(made);
    throw error;
  }
}

/** @param {string} person @param {string} pin */
export async function signIn(person, pin) {
  await signInHere(person, pin);
  await shown();
}

export async function signOut() {
  await signOutHere();
  await shown();
}

/** Somebody who is not on the list tests; what they save is marked not verified. */
export async function beUnlisted() {
  await beUnlistedHere();
  await shown();
}

/** Show who is here now; a server that does not answer is not waited for. */
async function shown() {
  if (!here.away) return refresh();
  await renew();
  redraw();
  refresh();
}
