/** How far this device's clock is off, measured at the server's answers. It is told, never applied. */

import { readState, writeState } from "./base.js";

const KEY = "clock";
const SECOND_MS = 1_000;
/** A header that tells whole seconds is heard only where nothing better was for so long. */
const COARSE_AFTER_MS = 10 * 60_000;
const KEEP_EVERY_MS = 60_000;

/** @type {{offset_ms: number, rtt_ms: number, at: number, steady: number} | null} */
let measured = null;
let kept = 0;

/** Read back what was measured last. */
export async function openClock() {
  measured ??= (await readState(KEY).catch(() => null)) ?? null;
}

/**
 * Take the measure of one answer: the middle between asking and hearing, held to the server's time.
 * @param {number} askedAt @param {number} heardAt both of this device's clock. [UTC ms]
 * @param {string} exact the server's time from the answer, "" where it tells none
 * @param {string} header the answer's Date header
 */
export function measure(askedAt, heardAt, exact, header) {
  const now = Date.parse(exact);
  const coarse = Date.parse(header) + SECOND_MS / 2;
  if (heardAt < askedAt) return;
  if (Number.isNaN(now) && (Number.isNaN(coarse) || !isOld(heardAt))) return;
  const middle = askedAt + (heardAt - askedAt) / 2;
  const offset_ms = Math.round(middle - (Number.isNaN(now) ? coarse : now));
  const rtt_ms = Math.round(heardAt - askedAt) + (Number.isNaN(now) ? SECOND_MS : 0);
  measured = { offset_ms, rtt_ms, at: heardAt, steady: heardAt - performance.now() };
  if (Math.abs(heardAt - kept) < KEEP_EVERY_MS) return;
  kept = heardAt;
  writeState(KEY, { ...measured, steady: 0 }).catch(() => null);
}

function isOld(now) {
  return measured === null || Math.abs(now - measured.at) > COARSE_AFTER_MS;
}

/** What an entry says of this device's clock: its time less the server's, and how that is known. */
export function clockSaid(now = Date.now()) {
  if (measured === null) return { offset_ms: 0, rtt_ms: 0, age_s: 0 };
  // A clock that was set since then is off by that much more.
  const moved = measured.steady ? Math.round(now - performance.now() - measured.steady) : 0;
  const set = Math.abs(moved) > SECOND_MS ? moved : 0;
  const age_s = Math.max(0, Math.round((now - set - measured.at) / SECOND_MS));
  return { offset_ms: measured.offset_ms + set, rtt_ms: measured.rtt_ms, age_s };
}
