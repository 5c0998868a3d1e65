/** State by shape: the same sign stands at a lane's left end and before a result. Ink only. */

import { svg } from "../ground/dom.js";

const HATCH = "M6 18 18 6M6 30 30 6M10 38 38 10M22 38 38 22M34 38 38 34";

const DRAWINGS = {
  // A float seen from its end: nothing in the way.
  ring: () => [svg("circle", { cx: 22, cy: 22, r: 15, class: "line" })],
  // The same, half under: near a limit.
  half: () => [
    svg("circle", { cx: 22, cy: 22, r: 15, class: "line" }),
    svg("path", { d: "M7 22a15 15 0 0 0 30 0Z", class: "solid" }),
  ],
  // A bar across the lane: shut for the hours, or not opened.
  bar: () => [svg("rect", { x: 5, y: 17, width: 34, height: 10, class: "line" })],
  // A block in the lane: closed for a reason.
  block: () => [svg("rect", { x: 6, y: 6, width: 32, height: 32, class: "solid" })],
  // A block on its corner: does not meet the rules.
  corner: () => [svg("path", { d: "M22 2 42 22 22 42 2 22Z", class: "solid" })],
  // The same outline, hatched and as heavy: not judged.
  cornerHatched: () => [
    svg("path", { d: "M14 22 22 14M14 30 30 14M22 30 30 22", class: "hatch" }),
    svg("path", { d: "M22 3 41 22 22 41 3 22Z", class: "heavy" }),
  ],
  // The hatched field: everyone out.
  field: () => [
    svg("path", { d: HATCH, class: "hatch" }),
    svg("rect", { x: 4, y: 4, width: 36, height: 36, class: "heavy" }),
  ],
  // A broken outline: nothing heard.
  broken: () => [svg("path", { d: "M22 3 41 22 22 41 3 22Z", class: "broken" })],
};

const OF_STATUS = {
  open: "ring",
  closed: "block",
  shut: "bar",
  unknown: "bar",
  "everyone-out": "field",
};

const OF_OUTCOME = {
  meets: "ring",
  "meets-borderline": "half",
  "does-not-meet-borderline": "corner",
  "does-not-meet": "corner",
  "not-judged": "cornerHatched",
  close: "field",
  evacuate: "field",
  stop: "field",
  unheard: "broken",
};

function drawing(name) {
  return svg(
    "svg",
    { viewBox: "0 0 44 44", class: `shape shape-${name}`, "aria-hidden": "true" },
    DRAWINGS[name](),
  );
}

/** @param {string} status of a pool */
export function statusShape(status) {
  return drawing(OF_STATUS[status] ?? "broken");
}

/** @param {string} outcome of a round, or "stop" */
export function outcomeShape(outcome) {
  return drawing(OF_OUTCOME[outcome] ?? "cornerHatched");
}
