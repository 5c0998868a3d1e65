/** One round under every rules pack held by the server, judged here by the one engine; it needs the server. */

import { get } from "../ground/api.js";
import { h } from "../ground/dom.js";
import { numberShown } from "../ground/locale.js";
import { here, redraw } from "../ground/store.js";
import { say, sayOr, told } from "../ground/words.js";
import * as kernel from "../generated/kernel.js";
import { contextOf } from "../round/context.js";
import { rowLimit } from "../round/limits.js";
import { fromKernel, toKernel } from "../strict.js";
import { key } from "./key.js";
import { problem } from "./problem.js";
import { outcomeShape } from "./shape.js";

const WORST_FIRST = ["evacuate", "close", "does-not-meet", "does-not-meet-borderline", "not-judged", "meets-borderline", "meets"];
const state = { round: "", rows: null, error: null };

/** Forget what was shown, as when the page is opened anew. */
export function dropEveryPack() {
  Object.assign(state, { round: "", rows: null, error: null });
}

/** @param {any} line a line of the record */
export function everyPackPart(line) {
  if (line.type !== "round-recorded" || line.here || here.away) return null;
  if (state.round !== line.id) {
    return key(say("everypack.show"), () => show(line), { kind: "small", "data-key": `every ${line.id}` });
  }
  return h(
    "div",
    { class: "panel", "data-key": `every ${line.id}` },
    h("h2", {}, say("everypack.title")),
    h("p", { class: "small" }, say("everypack.what")),
    problem(state.error),
    state.rows === null && !state.error && h("p", {}, say("frame.waiting")),
    state.rows && table(state.rows),
    key(say("everypack.hide"), hide, { kind: "small", "data-key": "hide" }),
  );
}

function hide() {
  dropEveryPack();
  redraw();
}

async function show(line) {
  const round = line.id;
  Object.assign(state, { round, rows: null, error: null });
  redraw();
  try {
    const { case: given, packs } = await get(`/rounds/${round}/every-pack`);
    if (state.round === round) state.rows = ownFirst(packs.map((pack) => judged(pack, given)).sort(inOrder), line);
  } catch (error) {
    state.error = error;
  }
  redraw();
}

function judged(pack, given) {
  return { pack, answer: fromKernel(kernel.judge(toKernel(pack), toKernel(given))) };
}

function inOrder(one, other) {
  const places = [one, other].map((row) => WORST_FIRST.indexOf(row.answer.overall));
  return places[0] - places[1] || one.pack.id.localeCompare(other.pack.id);
}

/** The pool's own rules stand before all others, which are in order of what they say. */
function ownFirst(rows, { pool }) {
  const own = contextOf(pool)?.rules?.id;
  const mine = rows.filter((row) => row.pack.id === own).map((row) => ({ ...row, own: true }));
  return [...mine, ...rows.filter((row) => row.pack.id !== own)];
}

function table(rows) {
  return h(
    "table",
    { class: "every-pack" },
    h("thead", {}, h("tr", {}, ["rules", "outcome", "why"].map((head) => h("th", { scope: "col" }, say(`everypack.${head}`))))),
    h("tbody", {}, rows.map(row)),
  );
}

function row({ pack, answer, own }) {
  const status = pack.status === "reviewed" ? "" : say(`rules.status.${pack.status}`);
  return h(
    "tr",
    { "data-key": pack.id, "data-overall": answer.overall },
    h("th", { scope: "row" }, h("b", {}, pack.id), own && h("b", { class: "own" }, ` ${say("everypack.own")}`), h("span", { class: "small" }, ` ${pack.title}`), status && h("div", { class: "small" }, status)),
    h("td", {}, outcomeShape(answer.overall), " ", say(`outcome.${answer.overall}`)),
    h("td", {}, why(answer)),
  );
}

/** What fails, with limit and clause; else why nothing is said. */
function why(answer) {
  const bad = answer.results.filter((one) => WORST_FIRST.indexOf(one.verdict) < WORST_FIRST.indexOf("not-judged"));
  const name = (parameter) => sayOr(`short.${parameter}`, parameter);
  if (bad.length > 0) return h("ul", {}, bad.map((one) => h("li", {}, `${name(one.parameter)} ${sayOr(`value.${one.parameter}.${one.value}`, numberShown(one.value))}: ${rowLimit(one)} (${one.clause})`)));
  const gaps = answer.overall === "not-judged" ? answer.not_judged : [];
  return h("ul", {}, gaps.map((gap) => h("li", {}, `${name(gap.parameter)}: ${told(gap.why)}`)));
}
