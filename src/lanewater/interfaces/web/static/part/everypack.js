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
import { fold } from "./fold.js";
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
    state.rows && rows(state.rows, contextOf(line.pool)?.rules?.id),
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
    if (state.round === round) state.rows = packs.map((pack) => judged(pack, given)).sort((one, other) => one.pack.id.localeCompare(other.pack.id));
  } catch (error) {
    state.error = error;
  }
  redraw();
}

function judged(pack, given) {
  return { pack, answer: fromKernel(kernel.judge(toKernel(pack), toKernel(given))) };
}

/** The pool's own rules stand before all others and open; the others by what they say, each one line until it is asked for. */
function rows(found, own) {
  const [mine, others] = [found.filter(({ pack }) => pack.id === own), found.filter(({ pack }) => pack.id !== own)];
  return h(
    "div",
    { class: "every-pack" },
    mine.length > 0 && h("ul", { class: "bare", "data-key": "own" }, mine.map((row) => h("li", attributes(row), ownRules(row)))),
    WORST_FIRST.map((overall) => group(overall, others.filter(({ answer }) => answer.overall === overall))),
  );
}

function group(overall, found) {
  if (found.length === 0) return null;
  const words = [outcomeShape(overall), h("span", {}, `${say(`outcome.${overall}`)} (${found.length})`)];
  return fold(overall, words, false, h("ul", { class: "bare" }, found.map((row) => h("li", attributes(row), h("details", {}, h("summary", {}, named(row)), because(row))))));
}

const attributes = ({ pack, answer }) => ({ "data-key": pack.id, "data-overall": answer.overall });

function ownRules(row) {
  const { overall } = row.answer;
  return [
    h("p", {}, named(row), " ", h("b", { class: "own" }, say("everypack.own"))),
    h("p", {}, outcomeShape(overall), " ", h("strong", {}, say(`outcome.${overall}`))),
    because(row),
  ];
}

const named = ({ pack }) => h("span", {}, h("b", {}, pack.id), h("span", { class: "small" }, ` ${pack.title}`));

function because({ pack, answer }) {
  const status = pack.status === "reviewed" ? "" : say(`rules.status.${pack.status}`);
  return h("div", {}, status && h("p", { class: "small" }, status), why(answer));
}

/** What fails, with limit and clause; else why nothing is said; else what the water was held to. */
function why({ overall, results, not_judged: gaps }) {
  const name = (parameter) => sayOr(`short.${parameter}`, parameter);
  const limits = (found) => h("ul", {}, found.map((one) => h("li", {}, `${name(one.parameter)} ${sayOr(`value.${one.parameter}.${one.value}`, numberShown(one.value))}: ${rowLimit(one)} (${one.clause})`)));
  const bad = results.filter((one) => WORST_FIRST.indexOf(one.verdict) < WORST_FIRST.indexOf("not-judged"));
  if (bad.length > 0 || overall !== "not-judged") return limits(bad.length > 0 ? bad : results);
  return h("ul", {}, gaps.map((gap) => h("li", {}, `${name(gap.parameter)}: ${told(gap.why)}`)));
}
