/** A chart in ink: readings as a line with dots, limits of their date as dashes, gaps as gaps. */

import { svg } from "../ground/dom.js";
import { fromLocal, isoDay } from "../ground/time.js";
import { say } from "../ground/words.js";
import { dateWords, dayStep, scaleOf, ticksOf } from "./chartscale.js";
import { openSpans } from "./openspans.js";

const HEIGHT = 210;
const LEFT = 46;
const RIGHT = 10;
const TOP = 12;
const FOOT = 46;
const DAY_MS = 86_400_000;
const WIDEST_REM = 60;
/** Up to so many readings each has its dot. */
const MOST_DOTS = 120;

/** How wide the paper is here, in CSS pixels. */
function paperWidth() {
  const root = document.documentElement;
  const rem = Number.parseFloat(getComputedStyle(root).fontSize) || 16;
  return Math.max(240, Math.min(Math.floor(root.clientWidth - 2 * rem), WIDEST_REM * rem));
}

/** @param {any} trends @param {any} series @param {string} label what it shows, for those who hear it */
export function chart(trends, series, label) {
  const width = paperWidth();
  const from = Date.parse(trends.from);
  const to = Date.parse(trends.to);
  const scale = scaleOf(series);
  const bottom = HEIGHT - FOOT;
  const place = {
    x: (at) => LEFT + ((Date.parse(at) - from) / (to - from)) * (width - LEFT - RIGHT),
    y: (value) => bottom - ((Number(value) - scale.low) / (scale.high - scale.low)) * (bottom - TOP),
  };
  return svg(
    "svg",
    { class: "chart", viewBox: `0 0 ${width} ${HEIGHT}`, role: "img", "aria-label": label },
    valueLines(scale, place, width),
    dayLines(from, to, width, place, bottom),
    gaps(series, place, bottom),
    limits(series, scale, place, width),
    readings(trends, series, place),
    happenings(trends, place, bottom),
  );
}

const line = (x1, y1, x2, y2, name) => svg("line", { x1, y1, x2, y2, class: name });
const text = (x, y, anchor, words, name = "label") =>
  svg("text", { x, y, "text-anchor": anchor, class: name }, words);

function valueLines(scale, place, width) {
  return ticksOf(scale).map(({ at, words }) => [
    line(LEFT, place.y(at), width - RIGHT, place.y(at), "faint"),
    text(LEFT - 6, place.y(at) + 5, "end", words),
  ]);
}

function dayLines(from, to, width, place, bottom) {
  const step = dayStep((to - from) / DAY_MS, width - LEFT - RIGHT);
  const found = [];
  let at = fromLocal(isoDay(to), "00:00");
  for (; at >= from; at = fromLocal(isoDay(at - step * DAY_MS + DAY_MS / 2), "00:00")) {
    const x = place.x(new Date(at).toISOString());
    const words = dateWords(at);
    const half = words.length * 4;
    found.push(line(x, bottom, x, bottom + 5, "tick"));
    const last = x + half > width;
    if (x - half > LEFT - 30) found.push(text(last ? width - 2 : x, HEIGHT - 6, last ? "end" : "middle", words));
  }
  return [found, line(LEFT, bottom, width - RIGHT, bottom, "tick")];
}

/** Where nothing was read for long: a dotted field, so that nobody reads a line into it. */
function gaps(series, place, bottom) {
  return series.rows.map((row, index) => {
    if (!row.gap) return null;
    const x = place.x(series.rows[index - 1].at);
    const width = Math.max(2, place.x(row.at) - x);
    return [
      svg("rect", { x, y: TOP, width, height: bottom - TOP, class: "no-reading" }),
      width > 84 && text(x + width / 2, TOP + 16, "middle", say("trend.no-reading")),
    ];
  });
}

function limits(series, scale, place, width) {
  return ["low", "high"].map((end) =>
    series.limits.map((one) => {
      const value = Number(one[end]);
      if (one[end] === "" || value < scale.low || value > scale.high) return null;
      const x = place.x(one.from);
      const last = Math.max(place.x(one.to), x + 8);
      const words = say(end === "low" ? "compare.at-least" : "compare.at-most", { limit: one[end] });
      const fits = x + words.length * 8 < width;
      const y = place.y(value);
      return [
        line(x, y, last, y, "limit"),
        text(fits ? x + 2 : width - RIGHT, y - 5, fits ? "start" : "end", words, "label limit-label"),
      ];
    }),
  );
}

function readings(trends, series, place) {
  const { rows } = series;
  const dots = rows.length <= MOST_DOTS;
  let path = "";
  let pen = "M";
  for (const row of rows) {
    if (row.gap) pen = "M";
    if (row.doubtful || row.relation !== "exact") continue;
    path += `${pen}${place.x(row.at).toFixed(1)} ${place.y(row.value).toFixed(1)}`;
    pen = "L";
  }
  return [
    svg("path", { d: path || "M0 0", class: "course" }),
    rows.map((row) => [
      row.low !== row.high &&
        line(place.x(row.at), place.y(row.low), place.x(row.at), place.y(row.high), "course"),
      mark(row, place, dots || trends.by_day),
    ]),
  ];
}

function mark(row, { x, y }, dots) {
  const [cx, cy] = [x(row.at), y(row.value)];
  if (row.relation !== "exact") {
    const up = row.relation === "above" ? -1 : 1;
    return svg("path", { d: `M${cx - 5} ${cy}h10l-5 ${up * 9}Z`, class: "solid" });
  }
  if (row.doubtful) return svg("path", { d: `M${cx - 4} ${cy - 4}l8 8m0 -8l-8 8`, class: "cross" });
  return dots ? svg("circle", { cx, cy, r: 2.4, class: "solid" }) : null;
}

/** Under the picture: when the pool was open, what was added, when everyone went out. */
function happenings(trends, place, bottom) {
  const y = bottom + 14;
  return [
    openSpans(trends).map(({ from, to }) =>
      line(place.x(from), y, Math.max(place.x(to), place.x(from) + 1), y, "open-span"),
    ),
    trends.events.map(({ at, kind }) => {
      const x = place.x(at);
      if (kind === "addition") {
        return [
          line(x, TOP, x, bottom, "event"),
          svg("path", { d: `M${x - 5} ${bottom - 1}l5 -9l5 9Z`, class: "solid" }),
        ];
      }
      if (kind !== "everyone-out") return null;
      return [line(x, TOP, x, bottom, "event"), svg("rect", { x: x - 5, y: y - 5, width: 10, height: 10, class: "out-mark" })];
    }),
  ];
}

const SIGNS = {
  reading: () => [line(2, 10, 26, 6, "course"), svg("circle", { cx: 14, cy: 8, r: 2.4, class: "solid" })],
  span: () => [line(14, 2, 14, 14, "course"), svg("circle", { cx: 14, cy: 12, r: 2.4, class: "solid" })],
  limit: () => line(2, 8, 26, 8, "limit"),
  doubt: () => svg("path", { d: "M10 4l8 8m0 -8l-8 8", class: "cross" }),
  over: () => svg("path", { d: "M9 12h10l-5 -9Z", class: "solid" }),
  gap: () => svg("rect", { x: 4, y: 2, width: 20, height: 12, class: "no-reading" }),
  open: () => line(2, 8, 26, 8, "open-span"),
  addition: () => [line(14, 0, 14, 16, "event"), svg("path", { d: "M9 15l5 -9l5 9Z", class: "solid" })],
  out: () => svg("rect", { x: 9, y: 3, width: 10, height: 10, class: "out-mark" }),
};

/** A sign of the charts by itself, for the list of signs. @param {string} name */
export function sign(name) {
  return svg("svg", { class: "sign", viewBox: "0 0 28 16", "aria-hidden": "true" }, SIGNS[name]());
}
