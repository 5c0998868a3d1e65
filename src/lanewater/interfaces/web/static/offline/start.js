/** What this device keeps is read back before the first page is drawn. */

import { here, redraw } from "../ground/store.js";
import { openWitness } from "../ground/witness.js";
import { canKeep } from "./base.js";
import { openCarry } from "./carry.js";
import { openClock } from "./clock.js";
import { openDevice, ownDevice } from "./device.js";
import { draftTrouble, openDrafts } from "./drafts.js";
import { letGo } from "./outbox.js";
import { start } from "./sync.js";
import { onTold } from "./tabs.js";
import { openSession } from "./who.js";

const TIDY_AFTER_MS = 60_000;

/**
 * Read back the key, the drafts, what is carried and who is here; then begin to send.
 * @param {(pool: string) => void} draftChanged called when another tab changed a draft
 */
export async function startOffline(draftChanged) {
  here.keeps = await canKeep();
  await openDevice();
  await Promise.all([openClock(), openCarry(redraw), openDrafts(draftChanged), openWitness()]);
  await openSession(redraw);
  onTold("device", openDevice);
  await start();
  setTimeout(() => letGo().catch(() => null), TIDY_AFTER_MS);
}

/**
 * Why what is said at this browser cannot be kept by it: insecure, blocked, full or no-key; "" where it can.
 * To be said before the first reading is typed.
 */
export function keepsNot() {
  return here.keeps || draftTrouble() || (ownDevice() ? "" : "no-key");
}
