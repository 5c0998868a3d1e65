/** How a pool's readings went: a chart and its numbers for each parameter, and what happened. */

import { h } from "../ground/dom.js";
import { poolName } from "../ground/store.js";
import { day, when } from "../ground/time.js";
import { unitOf } from "../ground/unit.js";
import { say } from "../ground/words.js";
import { chart, sign } from "./chart.js";
import { nameOf } from "./waterlane.js";

/** Days back; from 40 on the server gives a row a day. */
export const SPANS = [14, 90, 365];
const EVENTS = ["addition", "pool-opened", "pool-shut", "pool-closed", "everyone-out", "house-stop-ended"];

/** @param {any} trends of one pool */
export function trendsView(trends) {
  const read = trends.series.filter((series) => series.rows.length > 0);
  const never = trends.series.filter((series) => series.rows.length === 0);
  return h(
    "section",
    { class: "trends", "data-key": "trends", "aria-label": say("trend.title") },
    h("h2", {}, say("trend.title")),
    read.length > 0 && legend(trends),
    read.map((series) => [figure(trends, series)]),
    never.map((series) =>
      h("p", { "data-key": series.parameter }, say("trend.none", { name: nameOf(series.parameter) })),
    ),
    happened(trends),
  );
}

function legend(trends) {
  const row = (name) => h("li", { "data-key": name }, sign(name), h("span", {}, say(`trend.sign.${name}`)));
  const names = [trends.by_day ? "span" : "reading", "limit", "doubt", "over", "gap", "open", "addition", "out"];
  return h("ul", { class: "signs", "data-key": "signs" }, names.map(row));
}

function figure(trends, series) {
  const name = nameOf(series.parameter);
  const words = summary(trends, series, name);
  return h(
    "figure",
    { class: "trend", "data-key": series.parameter },
    h("figcaption", {}, h("h3", {}, `${name}${unitOf(series.parameter) ? `, ${unitOf(series.parameter)}` : ""}`), h("p", { class: "small" }, words)),
    chart(trends, series, `${name}. ${words}`),
    numbers(trends, series, name),
  );
}

/** The picture in a sentence: how many, from what to what, how often past a limit, how many gaps. */
function summary(trends, series, name) {
  const lows = series.rows.map((row) => Number(row.low));
  const highs = series.rows.map((row) => Number(row.high));
  const found = [
    say(trends.by_day ? "trend.sum-days" : "trend.sum", {
      name,
      count: series.rows.length,
      low: series.rows[lows.indexOf(Math.min(...lows))].low,
      high: series.rows[highs.indexOf(Math.max(...highs))].high,
    }),
  ];
  const past = series.rows.filter((row) => isPast(series, row)).length;
  found.push(say(past > 0 ? "trend.past" : "trend.none-past", { count: past }));
  const gaps = series.rows.filter((row) => row.gap).length;
  if (gaps > 0) found.push(say("trend.gaps", { count: gaps }));
  return found.join(" ");
}

/** The limits that held at a row's time. */
export function limitsAt(series, row) {
  const found = series.limits.filter((one) => one.from <= row.at && row.at <= one.to);
  return found[found.length - 1] ?? { low: "", high: "" };
}

function isPast(series, row) {
  const { low, high } = limitsAt(series, row);
  return (low !== "" && Number(row.low) < Number(low)) || (high !== "" && Number(row.high) > Number(high));
}

function numbers(trends, series, name) {
  const marks = (row) =>
    [
      isPast(series, row) && say("trend.mark.past"),
      row.relation !== "exact" && say(`trend.mark.${row.relation}`),
      row.doubtful && say("trend.mark.doubt"),
      row.gap && say("trend.mark.gap"),
    ].filter(Boolean);
  return h(
    "details",
    { class: "fold", "data-key": "numbers" },
    h("summary", {}, say("trend.numbers", { name, count: series.rows.length })),
    table(
      say("trend.numbers", { name, count: series.rows.length }),
      [say(trends.by_day ? "trend.head.day" : "trend.head.at"), say("trend.head.value"), say("trend.head.limits")],
      [...series.rows].reverse().map((row) => [
        trends.by_day ? day(row.at) : when(row.at),
        [valueWords(row), marks(row).map((text) => h("small", {}, text))],
        limitWords(limitsAt(series, row)),
      ]),
    ),
  );
}

function valueWords(row) {
  if (row.low !== row.high) return say("water.band", { low: row.low, high: row.high });
  return { above: ">", below: "<", exact: "" }[row.relation] + row.value;
}

function limitWords({ low, high }) {
  if (low && high) return say("water.band", { low, high });
  if (low) return say("compare.at-least", { limit: low });
  return high ? say("compare.at-most", { limit: high }) : say("trend.no-limit");
}

function happened(trends) {
  if (trends.events.length === 0) return h("p", { "data-key": "events" }, say("trend.nothing-happened"));
  const known = trends.events.filter((event) => EVENTS.includes(event.kind));
  const words = (event) =>
    event.pool === trends.pool
      ? say(`event.${event.kind}`)
      : say("event.elsewhere", { what: say(`event.${event.kind}`), pool: poolName(event.pool) });
  return h(
    "details",
    { class: "fold", "data-key": "events" },
    h("summary", {}, say("trend.happened", { count: known.length })),
    table(
      say("trend.happened", { count: known.length }),
      [say("trend.head.at"), say("trend.head.what")],
      [...known].reverse().map((event) => [when(event.at), words(event)]),
    ),
  );
}

function table(caption, heads, rows) {
  return h(
    "table",
    { class: "numbers" },
    h("caption", {}, caption),
    h("thead", {}, h("tr", {}, heads.map((text) => h("th", { scope: "col" }, text)))),
    h(
      "tbody",
      {},
      rows.map(([first, ...rest], place) =>
        h(
          "tr",
          { "data-key": `${place}` },
          h("th", { scope: "row" }, first),
          rest.map((cell) => h("td", {}, cell)),
        ),
      ),
    ),
  );
}
