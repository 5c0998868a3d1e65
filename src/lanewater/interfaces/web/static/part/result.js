/** A result: people first, then the reading that fails with its limit and clause, then doubts. */

import { h } from "../ground/dom.js";
import { here } from "../ground/store.js";
import { numberShown } from "../ground/locale.js";
import { say, sayOr, told } from "../ground/words.js";
import { contextOf } from "../round/context.js";
import { headOf, rowsInOrder } from "../round/outcome.js";
import { rowLimit } from "../round/limits.js";
import { doubts, pairView } from "./doubt.js";
import { outcomeShape } from "./shape.js";

/**
 * @param {any} answer a judgement, the kernel's or the server's
 * @param {import("../round/bench.js").Bench | null} bench the round in the making, null once saved
 * @param {{whole: boolean, pool: string, onKeep?: () => void}} options whole: everything planned is in;
 *   onKeep saves a pair that cannot both be right, as it is
 */
export function resultView(answer, bench, { whole, pool, onKeep }) {
  const pair = bench && pairView(answer, bench, onKeep);
  if (pair) return [pair, stops(answer), doubts(answer, bench, { whole: false })];
  if (!whole) return [stops(answer), doubts(answer, bench, { whole })];
  return h(
    "div",
    { class: "result", "data-key": "result" },
    head(answer, pool),
    stops(answer),
    rowList(answer),
    doubts(answer, bench, { whole }),
  );
}

/** Whether people may be in the water: a pool that was not opened is not open. */
export function isOpen(pool) {
  return here.now?.pools.find((row) => row.pool === pool)?.status === "open";
}

function head(answer, pool) {
  const { outcome, people, rules } = headOf(answer, isOpen(pool));
  return h(
    "div",
    { class: `result-head result-${outcome}`, "data-key": "head" },
    outcomeShape(outcome),
    h(
      "div",
      {},
      people && h("p", { class: "people" }, people),
      h("p", { class: "against" }, rules),
      h("p", { class: "small" }, whichRules(answer, pool)),
    ),
  );
}

function whichRules(answer, pool) {
  const rules = contextOf(pool)?.rules ?? null;
  if (rules === null) return say("rules.none");
  const status = answer.status && answer.status !== "reviewed" ? say(`rules.status.${answer.status}`) : "";
  const practice = answer.findings.some((one) => one.id === "inside-common-practice");
  return [say("rules.which", { title: rules.title }), practice && say("rules.practice"), status].filter(Boolean).join(" ");
}

function stops(answer) {
  if (answer.stops.length === 0) return null;
  return h(
    "div",
    { class: "house-stop", role: "alert", "data-key": "stops" },
    answer.stops.map((stop) => [h("p", { class: "people" }, told(stop.why)), h("p", {}, told(stop.do))]),
  );
}

/** What fails, what is not judged, what meets: each with its rule and clause. @param {any} answer */
export function rowList(answer) {
  const { bad, good: passed } = rowsInOrder(answer);
  const good = passed.filter((row) => !bad.some((one) => one.parameter === row.parameter));
  const gaps = answer.not_judged.filter((gap) => !bad.some((row) => row.parameter === gap.parameter));
  return h(
    "div",
    { class: "rows", "data-key": "rows" },
    h(
      "ul",
      {},
      byParameter(bad).map((rows) => h("li", { class: `row row-${rows[0].verdict}` }, badWords(rows, passed))),
      gaps.map((gap) => h("li", { class: "row row-not-judged" }, gapWords(gap))),
    ),
    good.length > 0 &&
      h(
        "ul",
        { class: "good" },
        byParameter(good).map((rows) => h("li", { "data-key": rows[0].parameter }, goodWords(rows, answer.changed_to_pass))),
      ),
  );
}

function rowWords(row) {
  return [h("b", {}, `${readWords(row)}.`), againstRule(row)];
}

function againstRule(row) {
  const verdict = h("b", {}, say(`row.${row.verdict}`));
  return [` ${say("row.rule", { rule: ruleWords(row), clause: row.clause })} `, verdict, "."];
}

/** A reading is named once: first every rule that it breaks, then those that it meets. */
function badWords(rows, passed) {
  const met = passed.filter((row) => row.parameter === rows[0].parameter);
  const rules = met.map((row) => say("row.clause", { rule: ruleWords(row), clause: row.clause }));
  return [
    h("b", {}, `${readWords(rows[0])}.`),
    rows.map(againstRule),
    rules.length > 0 && h("span", { class: "small" }, ` ${say("row.also", { rules: rules.join(", ") })}`),
  ];
}

/** What meets is said once for each reading, with every rule it meets; a borderline pass by itself. */
function goodWords(rows, unsure) {
  if (unsure) return [h("b", {}, `${readWords(rows[0])}:`), ` ${say("row.not-judged")}`];
  if (rows.some((row) => row.verdict !== "meets")) return rows.map((row) => h("div", {}, rowWords(row)));
  const rules = rows.map((row) => say("row.clause", { rule: ruleWords(row), clause: row.clause }));
  return [h("b", {}, readWords(rows[0])), ` ${say("row.good", { rules: rules.join(", ") })}`];
}

function byParameter(rows) {
  const groups = new Map();
  for (const row of rows) groups.set(row.parameter, [...(groups.get(row.parameter) ?? []), row]);
  return [...groups.values()];
}

function readWords(row) {
  return `${nameOf(row.parameter)} ${sayOr(`value.${row.parameter}.${row.value}`, numberShown(row.value))}`;
}

function ruleWords(row) {
  const rule = row.limit === "not computable" ? row.limit : rowLimit(row);
  return sayOr(`value.${row.parameter}.${row.limit}`, rule);
}

function gapWords(gap) {
  if (gap.parameter === "rules") return h("b", {}, say("rules.none"));
  return [h("b", {}, `${nameOf(gap.parameter)}: ${say("row.not-judged")}`), ` ${told(gap.why)}.`];
}

function nameOf(parameter) {
  return sayOr(`short.${parameter}`, parameter);
}
