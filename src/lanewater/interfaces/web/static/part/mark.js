/** Our mark: a lane rope at the wall, its floats on the cord. */

import { svg } from "../ground/dom.js";

export function mark() {
  const float = (x, kind) =>
    svg("rect", { x, y: 10, width: 8, height: 28, rx: 4, class: `float-${kind}` });
  return svg(
    "svg",
    { viewBox: "0 0 72 48", class: "mark", "aria-hidden": "true" },
    svg("path", { d: "M5 4v40", class: "wall" }),
    svg("path", { d: "M5 24h67", class: "cord" }),
    float(14, "ink"),
    float(27, "red"),
    float(40, "ink"),
    float(53, "red"),
  );
}
