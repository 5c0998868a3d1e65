/** What may lie behind a water's ways, in order, with what speaks for and against each. */

import { get } from "../ground/api.js";
import { h } from "../ground/dom.js";
import { redraw } from "../ground/store.js";
import { say, sayOr } from "../ground/words.js";
import { problem } from "./problem.js";

/** @type {Record<string, {answers: any[] | null, error: any}>} */
const known = {};

/** @param {string} pool */
export async function askCauses(pool) {
  try {
    known[pool] = { answers: (await get(`/pools/${pool}/causes`)).answers, error: null };
  } catch (error) {
    known[pool] = { answers: known[pool]?.answers ?? null, error };
  }
  redraw();
}

/** The answers of one pool, asked for by `askCauses`. @param {string} pool */
export function causes(pool) {
  const { answers, error } = known[pool] ?? { answers: null, error: null };
  const seen = (answers ?? []).filter((one) => one.state === "seen");
  return h(
    "section",
    { class: "causes", "data-key": `causes ${pool}` },
    h("h3", {}, say("causes.title")),
    problem(error),
    answers && seen.length === 0 && h("p", {}, say("causes.none")),
    seen.length > 0 && h("p", { class: "small" }, say("causes.intro")),
    seen.map(answer),
  );
}

function answer(one) {
  return h(
    "div",
    { class: "cause-answer", "data-key": one.question },
    h("p", { class: "large" }, title(one)),
    h("ol", {}, one.causes.map(cause)),
    one.ask.length > 0 && [
      h("p", { class: "legend" }, say("causes.ask")),
      h("ul", {}, one.ask.map((id) => h("li", {}, say(`ask.${id}`)))),
    ],
  );
}

function title(one) {
  const parts = [say(`causes.${one.question}`, one.said)];
  if (one.question === "chlorine-goes") {
    for (const time of ["day", "night"]) {
      if (time in one.said) parts.push(say(`causes.chlorine-goes.${time}`, one.said));
    }
  }
  return parts.join(" ");
}

function cause(one) {
  return h(
    "li",
    { "data-key": one.id },
    h("p", {}, h("b", {}, say(`cause.${one.id}`)), " ", say(`cause.${one.id}.do`)),
    one.for.length + one.against.length === 0 && h("p", { class: "small" }, say("causes.no-evidence")),
    evidence("causes.for", one.for),
    evidence("causes.against", one.against),
  );
}

function evidence(legend, rows) {
  if (rows.length === 0) return null;
  return h("p", { class: "small" }, say(legend), ": ", rows.map((row) => say(`evidence.${row.id}`, words(row.said))).join(" "));
}

/** Ids among the numbers become words. */
function words(said) {
  const found = { ...said };
  if (said.substance) found.substance = sayOr(`substance.${said.substance}`, said.substance);
  if (said.parameter) found.parameter = sayOr(`short.${said.parameter}`, said.parameter);
  if (said.kind) found.kind = sayOr(`option.kind.${said.kind}`, said.kind);
  return found;
}
