/** Which pool: for a page about one, reached without a pool's name. */

import { h } from "../ground/dom.js";
import { pools } from "../ground/store.js";
import { say } from "../ground/words.js";
import { keyLink } from "./key.js";

/** @param {string} title @param {string} path of the page */
export function whichPool(title, path) {
  return h(
    "div",
    { "data-key": "which" },
    h("h1", {}, title),
    h("p", {}, say(pools().length === 0 ? "now.no-pools" : "which.pool")),
    h(
      "div",
      { class: "keys keys-wide" },
      pools().map((one) => keyLink(one.name, `${path}?pool=${one.pool}`, { "data-key": one.pool })),
    ),
  );
}

/** Whether a pool of this id is set up here. @param {string} pool */
export const isPool = (pool) => pools().some((one) => one.pool === pool);
