/** A measuring cylinder, so that a dilution is read one way only: 1 part made up to so many. */

import { svg } from "../ground/dom.js";

const HEIGHT = 88;
const TOP = 8;

/** @param {number} factor parts in all, of which one is pool water */
export function cylinder(factor) {
  const part = HEIGHT / factor;
  const marks = Array.from({ length: factor - 1 }, (_, index) => TOP + part * (index + 1));
  return svg(
    "svg",
    { viewBox: "0 0 48 104", class: "cylinder", "aria-hidden": "true" },
    svg("rect", { x: 12, y: TOP + HEIGHT - part, width: 24, height: part, class: "sample" }),
    svg("path", { d: `M12 ${TOP - 4}V${TOP + HEIGHT}H36V${TOP - 4}M6 ${TOP + HEIGHT + 4}H42`, class: "glass" }),
    marks.map((y) => svg("path", { d: `M26 ${y}H36`, class: "tick" })),
  );
}
