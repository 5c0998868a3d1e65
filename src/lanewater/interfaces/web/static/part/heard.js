/** How fresh what this device says is: a device out of reach does not know what others have done since. */

import { h } from "../ground/dom.js";
import { here } from "../ground/store.js";
import { when } from "../ground/time.js";
import { say } from "../ground/words.js";
import { lastHeard } from "../offline/view.js";

/** Said without an alarm while the next look is about to come. */
const FRESH_MS = 3 * 60_000;

/** Whether others may have done something that this device does not know of. */
export function isUnheard(now = Date.now()) {
  return here.away || (lastHeard() > 0 && now - lastHeard() > FRESH_MS);
}

/** In large words, where something may be added or decided on it. */
export function notHeard() {
  if (!isUnheard()) return null;
  const words = lastHeard() ? say("now.not-heard", { at: when(lastHeard()) }) : say("now.not-heard-ever");
  return h("p", { class: "people", role: "alert", "data-key": "not-heard" }, words);
}

/** In each lane: from when the picture is. */
export function asHeard() {
  if (!isUnheard() || !lastHeard()) return null;
  return h("p", { class: "small as-heard", "data-key": "as-heard" }, say("lane.as-heard", { at: when(lastHeard()) }));
}
