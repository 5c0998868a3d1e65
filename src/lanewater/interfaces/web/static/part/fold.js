/** A part of a page that stands open where there is room for it, and on a phone is one line until it is asked for. */

import { h } from "../ground/dom.js";

const ROOM = matchMedia("(min-width: 60rem)");

/**
 * @param {string} name its key in the page @param {string} words its heading
 * @param {boolean} open whether it is needed now, on a phone too
 * @param {...any} children
 */
export function fold(name, words, open, ...children) {
  if (open || ROOM.matches) return h("section", { "data-key": name }, h("h2", {}, words), children);
  return h("details", { class: "folded", "data-key": name }, h("summary", {}, words), children);
}
