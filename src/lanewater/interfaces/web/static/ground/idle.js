/** A shared tablet locks itself: after a while without a tap the person is signed out, network or none. */

import { leftAlone, signOutHere, touched } from "../offline/who.js";
import { go } from "./router.js";
import { here } from "./store.js";

const CHECK_MS = 5_000;
const LONGEST_MS = { shared: 5 * 60_000, office: 30 * 60_000 };

let last = Date.now();

/** @param {() => Promise<void>} refresh asks again who is here */
export function lockWhenIdle(refresh) {
  const heard = () => {
    last = Date.now();
    touched(last);
  };
  addEventListener("pointerdown", heard, { capture: true, passive: true });
  addEventListener("keydown", heard, { capture: true });
  setInterval(async () => {
    if (!leftAlone() && !ownerLeft()) return;
    await signOutHere();
    await refresh();
    go("/sign-in");
  }, CHECK_MS);
}

/** Whoever opened the site with a first key is known to the server alone. */
function ownerLeft() {
  const longest = LONGEST_MS[here.me?.device?.kind] ?? LONGEST_MS.shared;
  return Boolean(here.me?.owner) && Date.now() - last >= longest;
}
