/** A drawing with its words, for those who see it and those who do not. */

import { svg } from "../ground/dom.js";
import { say } from "../ground/words.js";
import { SCENES } from "./scenes.js";

/** @param {string} id of a scene @param {{spoken?: boolean}} [how] spoken: its words are not beside it */
export function draw(id, { spoken = true } = {}) {
  const said = spoken ? { role: "img", "aria-label": say(`draw.${id}`) } : { "aria-hidden": "true" };
  return svg("svg", { viewBox: "-4 -8 208 166", class: "draw", "data-key": `draw ${id}`, ...said }, SCENES[id]());
}
