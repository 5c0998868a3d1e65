/** Who is here: asked of the server, never remembered beyond its answer. */

import { sendKept } from "./stops.js";
import { get, post } from "./api.js";
import { forgetUnlisted, takeUnlisted } from "./idle.js";
import { here, redraw } from "./store.js";
import { setZone } from "./time.js";
import { witness } from "./witness.js";

/** Ask who is here and what the site is; without an answer what was known stays. */
export async function refresh() {
  try {
    here.me = await get("/me");
    here.away = false;
    setZone(here.me.site.timezone ?? "UTC");
    if (here.me.enrolled) {
      [here.site, here.people] = await Promise.all([get("/site/public"), get("/people")]);
      await sendKept();
      witness();
    }
  } catch (error) {
    here.away = error.id === "unreachable";
  }
  redraw();
}

/** @param {string} key @param {string} name @param {"shared"|"office"} kind */
export async function enrol(key, name, kind) {
  await post("/enrol", { key, name, kind });
  await refresh();
}

/** @param {string} person @param {string} pin */
export async function signIn(person, pin) {
  forgetUnlisted();
  await post("/sign-in", { person, pin });
  await refresh();
}

export async function signOut() {
  forgetUnlisted();
  await post("/sign-out");
  await refresh();
}

/** Somebody who is not on the list tests; what they save is marked not verified. */
export async function beUnlisted() {
  await post("/sign-out").catch(() => null);
  takeUnlisted();
  await refresh();
}
