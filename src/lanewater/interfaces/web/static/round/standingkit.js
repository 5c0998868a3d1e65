/** The kit last used at each pool on this device stands until another is said. No reading is ever copied. */

import { readState, writeState } from "../offline/base.js";

const KEY = "kits";

/** @type {Record<string, string>} */
let used = {};

/** Read back which kit was used where. @returns {Promise<void>} */
export async function lastKit() {
  used = (await readState(KEY).catch(() => null)) ?? used;
}

/**
 * The kit a round begins with: the only one, or the one last used at this pool; null where it must be said.
 * @param {string} pool @param {{kit: string}[]} kits of the site
 * @returns {string | null}
 */
export function standingKit(pool, kits) {
  if (kits.length < 2) return kits[0]?.kit ?? "";
  return kits.some((one) => one.kit === used[pool]) ? used[pool] : null;
}

/** @param {string} pool @param {string | null} kit "" where it was not said */
export function keepKit(pool, kit) {
  if (!kit) return;
  used = { ...used, [pool]: kit };
  writeState(KEY, used).catch(() => null);
}
