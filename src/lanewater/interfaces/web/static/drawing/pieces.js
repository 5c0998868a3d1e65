/**
 * What the drawings are put together from: lines of ink on paper, no colour and no words. What
 * stands in front is filled with paper, so that it hides what lies behind it.
 */

import { svg } from "../ground/dom.js";

/** A line. @param {string} d @param {string} kind line, thin, heavy, ink or body */
export function path(d, kind = "line") {
  return svg("path", { d, class: kind });
}

export function circle(cx, cy, r, kind = "line") {
  return svg("circle", { cx, cy, r, class: kind });
}

/** Pieces moved, and turned about their own corner. */
export function at(x, y, pieces, turn = 0) {
  const turned = turn ? ` rotate(${turn})` : "";
  return svg("g", { transform: `translate(${x} ${y})${turned}` }, pieces);
}

/** A round glass cell, 40 wide and 74 high; its mark is the short stroke at the front. */
export function cell({ level = 20, lid = false, mark = true, stir = false } = {}) {
  return [
    path("M2 4V64a9 9 0 0 0 9 9H29a9 9 0 0 0 9-9V4Z", "body"),
    level < 70 && water(4, 36, level, 66),
    stir && path("M12 44q8-7 16 0M12 56q8-7 16 0", "thin"),
    path("M-1 4H41"),
    mark && path("M20 28V42", "heavy"),
    lid && path("M-2-8H42V5H-2ZM6-8V5M14-8V5M22-8V5M30-8V5", "body"),
  ];
}

/** Water: its face, and broken lines below it. */
export function water(left, right, top, bottom) {
  const rows = [];
  for (let y = top + 9; y < bottom; y += 9) {
    const shift = (y - top) % 18 === 0 ? 5 : 0;
    rows.push(`M${left + 4 + shift} ${y}H${Math.min(right - 3, left + 13 + shift)}`);
    if (right - left > 26) rows.push(`M${left + 20 + shift} ${y}H${Math.min(right - 3, left + 29 + shift)}`);
  }
  return [path(`M${left} ${top}H${right}`), path(rows.join(""), "thin")];
}

/** The open water of a pool with small waves on its face. */
export function openWater(left, right, top, bottom) {
  let face = `M${left} ${top}`;
  for (let x = left; x + 16 <= right; x += 16) face += "q4-5 8 0t8 0";
  const rows = [];
  for (let y = top + 16; y < bottom; y += 15) {
    for (let x = left + ((y - top) % 2 ? 10 : 24); x + 12 < right; x += 34) rows.push(`M${x} ${y}h12`);
  }
  return [path(face), path(rows.join(""), "thin")];
}

/** An instrument, 96 wide and 66 high: a well for the cell on top, a window for the number. */
export function meter({ digits = "" } = {}) {
  return [
    path("M0 12a8 8 0 0 1 8-8H88a8 8 0 0 1 8 8V66H0Z", "body"),
    path("M50 18H88V38H50Z"),
    digits ? svg("text", { x: 69, y: 32.5, class: "digits" }, digits) : path("M57 32h6M66 32h6M75 32h6", "heavy"),
    circle(58, 52, 5),
    circle(78, 52, 5),
    path("M25 58V66", "heavy"),
  ];
}

/** A tablet, seen from the side. */
export function tablet() {
  return path("M-9-4H9a3 3 0 0 1 3 3V2a3 3 0 0 1-3 3H-9a3 3 0 0 1-3-3V-1a3 3 0 0 1 3-3Z", "ink");
}

/** A strip of foil with its pockets; the last one is empty. */
export function foil() {
  return [
    path("M0 0H76V24H0Z", "body"),
    path("M25 0V24M50 0V24", "thin"),
    circle(12.5, 12, 7),
    circle(37.5, 12, 7),
    path("M57 8 70 16M57 16 70 8", "thin"),
  ];
}

/** A closed hand that comes from the left, its fingers at the right. */
export function hand() {
  return [
    path("M-46-9H2a9 9 0 0 1 9 9V17a9 9 0 0 1-9 9H-10a10 10 0 0 1-9-6L-46 19Z", "body"),
    path("M-6-1H10M-6 8H11M-6 17H10", "thin"),
  ];
}

/** A clock with one sector of its face between its hands. */
export function clockFace() {
  return [
    circle(0, 0, 27, "body"),
    path("M0-27V-21M27 0H21M0 27V21M-27 0H-21"),
    path("M0-17V0L12 9", "heavy"),
  ];
}

/** An arrow's head at the end of a line that comes in this direction. [degrees] */
export function arrow(x, y, turn) {
  return at(x, y, [path("M-9-6 0 0-9 6")], turn);
}

/** A cone-shaped flask, 60 wide and 70 high. */
export function flask({ level = 44 } = {}) {
  const half = 8 + (level - 22) * 0.5;
  return [
    path("M22 0V20L1 62a6 6 0 0 0 5 8H54a6 6 0 0 0 5-8L38 20V0Z", "body"),
    path("M18 0H42"),
    water(30 - half, 30 + half, level, 66),
  ];
}

/** A test strip, 14 wide and 84 long, with three pads at its foot. */
export function strip() {
  return [path("M0 0H14V84H0Z", "body"), path("M2 44H12V54H2ZM2 57H12V67H2ZM2 70H12V80H2Z", "pad")];
}

/** Light from a window. */
export function daylight() {
  return [path("M0 0H44V52H0ZM22 0V52M0 26H44"), path("M54 8H70M54 26H74M54 44H70", "thin")];
}
