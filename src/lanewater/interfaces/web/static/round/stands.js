/**
 * The second tablet stands: every pool's stand runs on while another pool is tested, through a reload and a
 * restart, since only the instant at which it went in is kept. When one is over the device rings and shakes.
 */

import { redraw } from "../ground/store.js";
import { draftsHeld } from "../offline/drafts.js";
import { draftOf, fieldOf } from "./draft.js";

const TICK_MS = 250;
/** After this long a stand that nobody read is no longer this test's. */
const FORGOTTEN_S = 30 * 60;
/** It rings when it is over, and twice more where nobody comes. [seconds after] */
const RINGS_S = [0, 20, 60];
const RING_LATE_S = 10;
const SHAKE_MS = [400, 200, 400, 200, 400];
const TONES_HZ = [880, 660, 880];
const TONE_S = 0.35;

/** @type {AudioContext | null} */
let sound = null;
/** @type {Set<string>} what has rung, by stand and ring */
const rung = new Set();
let drawn = "";

/**
 * @typedef {object} Stand
 * @property {string} pool
 * @property {string} point
 * @property {number} since [UTC ms]
 * @property {number} whole [s]
 * @property {number} left below zero once it is over. [s]
 */

/** The stands that run or wait to be read, over all pools. @returns {Stand[]} */
export function stands(now = Date.now()) {
  return draftsHeld().flatMap((pool) => standsOf(draftOf(pool), now));
}

function standsOf(draft, now) {
  return Object.entries(draft.tablet)
    .map(([point, since]) => ({ pool: draft.pool, point, since, whole: draft.stand?.[point] ?? 0 }))
    .filter(({ point, whole }) => whole > 0 && !fieldOf(draft, "total_chlorine", point)?.value)
    .map((one) => ({ ...one, left: one.whole - (now - one.since) / 1000 }))
    .filter(({ left }) => left > -FORGOTTEN_S);
}

/** Begin to count. @param {(stand: Stand) => void} tell has a running stand's number written anew */
export function startStands(tell) {
  // A browser lets a page sound only after somebody has touched it.
  addEventListener("pointerdown", wake, { capture: true, passive: true });
  addEventListener("keydown", wake, { capture: true });
  setInterval(() => count(tell), TICK_MS);
}

function count(tell) {
  const running = stands();
  for (const one of running) ring(one);
  // Only a stand that begins, ends or is read changes the page; a second that passes changes one text.
  const state = running.map(({ pool, point, left }) => `${pool}@${point} ${left > 0}`).join();
  if (state !== drawn) redraw();
  else running.filter(({ left }) => left > 0).forEach(tell);
  drawn = state;
}

function wake() {
  sound ??= typeof AudioContext === "function" ? new AudioContext() : null;
  if (sound?.state === "suspended") sound.resume().catch(() => null);
}

function ring({ pool, point, since, left }) {
  for (const after of RINGS_S) {
    const name = `${pool}@${point} ${since} ${after}`;
    const late = -left - after;
    if (late < 0 || late > RING_LATE_S || rung.has(name)) continue;
    rung.add(name);
    navigator.vibrate?.(SHAKE_MS);
    if (sound?.state === "running") play(sound);
  }
}

function play(audio) {
  TONES_HZ.forEach((pitch, index) => {
    const start = audio.currentTime + index * TONE_S;
    const tone = audio.createOscillator();
    const volume = audio.createGain();
    tone.type = "square";
    tone.frequency.value = pitch;
    volume.gain.setValueAtTime(0.3, start);
    volume.gain.exponentialRampToValueAtTime(0.01, start + TONE_S);
    tone.connect(volume).connect(audio.destination);
    tone.start(start);
    tone.stop(start + TONE_S);
  });
}
