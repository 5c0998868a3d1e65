/**
 * Whether this browser may throw away what is kept here. One that gave its word does not; another may, when
 * its disk runs short or nobody comes for a while: a week in one family of browsers (from memory).
 */

import { redraw } from "../ground/store.js";
import { ownDevice } from "./device.js";

export const UNUSED_DAYS = 7;
const DAY_MS = 86_400_000;

/** @type {{known: boolean, granted: boolean, installed: boolean, offer: Event | null}} */
export const persistence = { known: false, granted: false, installed: false, offer: null };

/** Learn how things stand, and ask for the word once somebody has tapped. Never waited for. */
export function startPersistence() {
  const standalone = matchMedia("(display-mode: standalone)");
  const installed = () => standalone.matches || navigator.standalone === true;
  persistence.installed = installed();
  standalone.addEventListener("change", () => {
    persistence.installed = installed();
    redraw();
  });
  addEventListener("beforeinstallprompt", (event) => {
    event.preventDefault();
    persistence.offer = event;
    redraw();
  });
  addEventListener("appinstalled", () => {
    persistence.offer = null;
    askForWord();
  });
  if (!navigator.storage?.persisted) return;
  navigator.storage.persisted().then(learn, () => null);
  addEventListener("pointerup", askOnce, { capture: true, passive: true });
}

/** Some browsers put a question to the person: so only where a tablet works for itself, and once. */
function askOnce() {
  if (!ownDevice() || !persistence.known) return;
  removeEventListener("pointerup", askOnce, { capture: true });
  if (!persistence.granted) askForWord();
}

/** A browser may wait for its person before it answers. */
function askForWord() {
  navigator.storage?.persist?.().then(learn, () => null);
}

function learn(granted) {
  if (persistence.known && persistence.granted === granted) return;
  Object.assign(persistence, { known: true, granted });
  document.body.dataset.kept = granted ? "for-good" : "for-now";
  redraw();
}

/** Until when what is kept here is kept for certain, if nobody opens it again. @returns {number} [UTC ms] */
export function keptUntil(now = Date.now()) {
  return now + UNUSED_DAYS * DAY_MS;
}

/** Put the browser's own question whether to install. */
export async function install() {
  const { offer } = persistence;
  persistence.offer = null;
  await offer?.prompt();
  redraw();
}
