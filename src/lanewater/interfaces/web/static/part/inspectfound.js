/** What an inspector looks for first: the numbers, what was not met and what was done, what is missing. */

import { h } from "../ground/dom.js";
import { say } from "../ground/words.js";
import { scrollable, valueCells } from "./inspectlines.js";

const UNUSUAL = ["late", "paper", "back-dated", "sent-later", "ahead", "clock-off"];
const NUMBERS = ["rounds", "failures", "missed", "corrected"];

/** One row a pool. @param {any[]} pools */
export function inNumbers(pools) {
  const heads = ["pool", ...NUMBERS, "unusual"].map((id) => h("th", { scope: "col" }, say(`inspect.head.${id}`)));
  const row = ({ pool, name, counts }) => {
    const times = UNUSUAL.filter((id) => counts[id]).map((id) => `${counts[id]} ${say(`timing.${id}`)}`);
    return h(
      "tr",
      { "data-key": pool },
      h("th", { scope: "row" }, name),
      NUMBERS.map((id) =>
        h("td", { "data-label": say(`inspect.head.${id}`), class: counts[id] && id !== "rounds" ? "strong" : "" }, `${counts[id]}`),
      ),
      h("td", { "data-label": say("inspect.head.unusual") }, times.join(", ") || say("inspect.none")),
    );
  };
  return h(
    "section",
    { "data-key": "numbers", "aria-label": say("inspect.numbers") },
    h("h2", {}, say("inspect.numbers")),
    scrollable(say("inspect.numbers"), h("table", { class: "sheet" }, h("thead", {}, h("tr", {}, heads)), h("tbody", {}, pools.map(row)))),
  );
}

/** @param {any[]} pools */
export function failureList(pools) {
  const found = pools.flatMap((pool) => pool.failures.map((row) => ({ pool, row })));
  found.sort((one, other) => (one.row.at < other.row.at ? -1 : 1));
  return h(
    "section",
    { "data-key": "failures", "aria-label": say("inspect.failures") },
    h("h2", {}, say("inspect.failures")),
    found.length === 0 && h("p", { class: "large" }, say("inspect.no-failures")),
    h("ol", { class: "found" }, found.map(failure)),
  );
}

function failure({ pool, row }) {
  return h(
    "li",
    { "data-key": `${pool.pool} ${row.line}` },
    h("p", { class: "found-at" }, h("b", {}, `${row.at} ${pool.name}.`), " ", h("strong", {}, row.outcome)),
    h("p", { class: "found-values" }, valueCells(row).map(([name, cell]) => [h("span", { class: "value" }, name, " ", cell), " "])),
    row.text && h("p", { class: "small" }, row.text),
    h("p", { class: "small" }, say("inspect.by", { by: row.by, line: row.line })),
    h("h3", {}, say("inspect.done")),
    h("ul", { class: "done" }, row.done.map((text) => h("li", {}, text))),
  );
}

/** Tests that were due and not done, as gaps. @param {any[]} pools */
export function gapList(pools) {
  const found = pools.flatMap((pool) =>
    pool.rows.filter((row) => row.kind === "gap").map((row) => ({ pool, row })),
  );
  found.sort((one, other) => (one.row.at < other.row.at ? -1 : 1));
  return h(
    "section",
    { "data-key": "gaps", "aria-label": say("inspect.gaps") },
    h("h2", {}, say("inspect.gaps")),
    found.length === 0 && h("p", { class: "large" }, say("inspect.no-gaps")),
    found.length > 0 &&
      h(
        "ol",
        { class: "found gaps" },
        found.map(({ pool, row }) =>
          h("li", { "data-key": `${pool.pool} ${row.at}` }, h("b", {}, `${row.at.slice(0, 10)} ${pool.name}.`), " ", row.text),
        ),
      ),
  );
}
