/** What all pages share, and the one way to have the page drawn again. */

/**
 * @typedef {object} Me who is at this device, as the server says
 * @property {boolean} enrolled
 * @property {string} device
 * @property {string | null} person
 * @property {string} name
 * @property {string[]} roles
 * @property {boolean} owner
 * @property {boolean} demo
 * @property {{name: string, timezone: string, units: Record<string, string>, rules: string}} site
 */

export const here = {
  /** @type {Me | null} */ me: null,
  /** @type {any} */ site: null,
  /** @type {any} */ now: null,
  /** @type {any[]} */ people: [],
  /** Somebody who is not on the list is at the device and said so. */
  unlisted: false,
  /** The server cannot be reached. */
  away: false,
  /** What is wrong between the record and what this device has seen of it. */
  /** @type {{id: string, held: number, size: number} | null} */ witness: null,
  /** Why this browser keeps nothing: insecure, blocked or full; "" where it does. */
  /** @type {string} */ keeps: "",
  /** This browser cannot check a stamp. */
  unwitnessed: false,
};

let draw = () => {};
let asked = false;

/** @param {() => void} drawing */
export function drawWith(drawing) {
  draw = drawing;
}

/** Have the page drawn once, after whatever is running. */
export function redraw() {
  if (asked) return;
  asked = true;
  queueMicrotask(() => {
    asked = false;
    draw();
  });
}

/** The pools of the site by id, in the order of set-up. */
export function pools() {
  return here.site?.pools ?? [];
}

/** @param {string} pool @returns {string} */
export function poolName(pool) {
  return pools().find((one) => one.pool === pool)?.name ?? pool;
}

/** Whether this person may decide something: "yes", "no" or "competent". @param {string} what */
export function may(what) {
  return here.me?.may?.[what] ?? "no";
}
