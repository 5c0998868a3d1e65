/** Every line of a pool in a table: readings as typed, what was corrected struck through, gaps as gaps. */

import { h } from "../ground/dom.js";
import { say, sayOr } from "../ground/words.js";

const COLUMNS = [
  "free_chlorine",
  "total_chlorine",
  "combined_chlorine",
  "total_bromine",
  "ph",
  "temperature_c",
  "clarity",
];
const ALWAYS = ["ph", "clarity"];
const TESTED = ["round", "sample"];
const MANY = 3;

/** A wide table that is moved by itself, with a keyboard too. */
export function scrollable(label, table) {
  return h("div", { class: "wide", role: "region", "aria-label": say("inspect.table", { label }), tabindex: 0 }, table);
}

/** Each reading of a row with its name, in the order of the columns, the others behind. */
export function valueCells(row, wanted = null) {
  const names = Object.keys(row.values);
  const order = [...COLUMNS.filter((id) => names.includes(id)), ...names.filter((id) => !COLUMNS.includes(id))];
  return (wanted ?? order).map((id) => [sayOr(`short.${id}`, id), cell(row.values[id] ?? [])]);
}

/** A reading as it stands; what stood there before is struck through; what was worked out, in brackets. */
function cell(values) {
  return values.map((value, index) => [
    index > 0 && " / ",
    value.was.map((was) => [h("s", {}, was), " "]),
    value.computed ? `(${value.text})` : value.text,
  ]);
}

/** @param {any} pool */
export function poolTable(pool) {
  const columns = COLUMNS.filter((id) => ALWAYS.includes(id) || pool.rows.some((row) => id in row.values));
  const points = pool.rows.some((row) => row.point);
  const bathers = pool.rows.some((row) => row.bathers);
  const shape = { columns, points, bathers, width: columns.length + points + bathers + MANY + 1 };
  return h(
    "section",
    { "data-key": `pool ${pool.pool}`, "aria-label": say("inspect.lines", pool) },
    h("h2", {}, say("inspect.lines", pool)),
    limits(pool),
    pool.rows.length === 0
      ? h("p", {}, say("inspect.nothing"))
      : scrollable(
          say("inspect.lines", pool),
          h(
            "table",
            { class: "sheet" },
            h("thead", {}, h("tr", {}, heads(shape).map((text) => h("th", { scope: "col" }, text)))),
            h("tbody", {}, pool.rows.map((row, index) => (TESTED.includes(row.kind) ? tested(row, shape, index) : other(row, shape, index)))),
          ),
        ),
  );
}

function limits(pool) {
  const rows = [...pool.rules, ...pool.limits, ...pool.intervals.map((text) => say("inspect.to-test", { text }))];
  return h(
    "details",
    { class: "fold", "data-key": "limits" },
    h("summary", {}, say("inspect.limits")),
    h("ul", {}, rows.map((text) => h("li", {}, text))),
  );
}

function heads({ columns, points, bathers }) {
  return [
    say("inspect.head.tested"),
    say("inspect.head.on-record"),
    ...(points ? [say("inspect.head.point")] : []),
    say("inspect.head.by"),
    ...columns.map((id) => say(`short.${id}`)),
    ...(bathers ? [say("inspect.head.bathers")] : []),
    say("inspect.head.against"),
  ];
}

function tested(row, shape, index) {
  const texts = [
    ...(shape.points ? [row.point] : []),
    row.by,
    ...valueCells(row, shape.columns).map(([, content]) => content),
    ...(shape.bathers ? [row.bathers] : []),
  ];
  const labels = heads(shape).slice(2, -1);
  return h(
    "tr",
    { class: `row-${row.kind}${row.fails ? " row-fails" : ""}`, "data-key": `${index}` },
    h("th", { scope: "row" }, row.first ? row.at : "", marks(row)),
    h("td", { "data-label": say("inspect.head.on-record") }, row.on_record),
    texts.map((content, place) => h("td", { "data-label": labels[place] }, content)),
    h("td", { "data-label": say("inspect.head.against"), class: "ruled" }, against(row, shape)),
  );
}

function against(row, { columns }) {
  const others = Object.keys(row.values).filter((id) => !columns.includes(id));
  return [
    row.fails ? h("strong", {}, row.outcome) : row.outcome,
    row.text && h("span", { class: "small rest" }, row.text),
    others.length > 0 &&
      h("span", { class: "small rest" }, valueCells(row, others).map(([name, content], place) => [place > 0 && ", ", name, " ", content])),
  ];
}

/** Late, from paper, corrected, not signed in: each in words beside the time. */
function marks(row) {
  return row.flags.map((text) => [" ", h("span", { class: "mark-word" }, text)]);
}

function other(row, shape, index) {
  return h(
    "tr",
    { class: `row-other row-${row.kind}`, "data-key": `${index}` },
    h("th", { scope: "row" }, row.at, marks(row)),
    h(
      "td",
      { colspan: shape.width - 1 },
      row.kind === "gap" && [h("b", {}, say("inspect.gap")), " "],
      row.text,
      row.by && ` (${row.by})`,
      row.on_record && h("span", { class: "small rest" }, say("inspect.on-record", { window: row.on_record })),
    ),
  );
}
