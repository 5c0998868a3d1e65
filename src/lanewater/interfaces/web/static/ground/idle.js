/** A shared tablet locks itself: after a while without a tap the person is signed out. */

import { post } from "./api.js";
import { go } from "./router.js";
import { here } from "./store.js";

const LONGEST_MS = { shared: 5 * 60_000, office: 30 * 60_000 };
const CHECK_MS = 5_000;

let last = Date.now();

/** @param {() => Promise<void>} refresh asks the server again who is here */
export function lockWhenIdle(refresh) {
  const touched = () => {
    last = Date.now();
  };
  addEventListener("pointerdown", touched, { capture: true, passive: true });
  addEventListener("keydown", touched, { capture: true });
  setInterval(async () => {
    const longest = LONGEST_MS[here.me?.device?.kind] ?? LONGEST_MS.shared;
    const signedIn = Boolean(here.me?.person || here.me?.owner || here.unlisted);
    if (!signedIn || Date.now() - last < longest) return;
    forgetUnlisted();
    await post("/sign-out").catch(() => null);
    await refresh();
    go("/sign-in");
  }, CHECK_MS);
}

/** Somebody who is not on the list takes the device. */
export function takeUnlisted() {
  here.unlisted = true;
  sessionStorage.setItem("lanewater.unlisted", "yes");
}

export function forgetUnlisted() {
  here.unlisted = false;
  sessionStorage.removeItem("lanewater.unlisted");
}
