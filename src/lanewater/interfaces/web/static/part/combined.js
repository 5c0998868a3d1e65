/** Combined chlorine over its limit: what more chlorine can take away, what it leaves, what else helps. */

import { get } from "../ground/api.js";
import { h } from "../ground/dom.js";
import { redraw } from "../ground/store.js";
import { listed, say, sayOr } from "../ground/words.js";
import { choice } from "./key.js";
import { problem } from "./problem.js";

/** @type {Record<string, {said: Record<string, string>, answer: any, error: any}>} */
const known = {};

function ofPool(pool) {
  if (!known[pool]) {
    known[pool] = { said: {}, answer: null, error: null };
    ask(pool);
  }
  return known[pool];
}

/** Have every pool's block asked for anew: the water has been tested since. */
export function forgetCombined() {
  for (const pool of Object.keys(known)) delete known[pool];
}

async function ask(pool) {
  const one = known[pool];
  try {
    one.answer = await get(`/pools/${pool}/combined`, one.said);
    one.error = null;
  } catch (error) {
    one.error = error;
  }
  redraw();
}

/** @param {any} row of the Water page, whose combined chlorine fails the rules */
export function combinedBlock(row) {
  if (!row.fails.includes("combined_chlorine")) return null;
  const { said, answer, error } = ofPool(row.pool);
  return h(
    "section",
    { class: "panel combined-block", "data-key": "combined", "aria-label": say("combined.title") },
    h("h3", {}, say("combined.title")),
    problem(error),
    answer && told(row.pool, said, answer),
  );
}

function told(pool, said, answer) {
  const over = answer.combined_mg_l && answer.limit_mg_l;
  return [
    h(
      "p",
      { role: "status" },
      over && [say("combined.over", { value: answer.combined_mg_l, limit: answer.limit_mg_l }), " "],
      h("b", {}, say(`combined.state.${answer.state}`)),
    ),
    question(pool, said, "monopersulfate"),
    said.monopersulfate === "no" && (said.heavy_load || answer.ask.includes("heavy-load")) && question(pool, said, "heavy_load"),
    list("combined.reasons", answer.reasons.map(reason)),
    list("combined.to-know", answer.ask.map((id) => sayOr(`combined.ask.${id}`, "")).filter(Boolean)),
    answer.removes.length > 0 &&
      h("p", {}, say("combined.removes", { names: listed(answer.removes.map((id) => say(`combined.thing.${id}`))) })),
    answer.leaves.length > 0 &&
      h("p", {}, say("combined.leaves", { names: listed(answer.leaves.map((id) => say(`combined.thing.${id}`))) })),
    list("combined.instead-of", answer.instead.map((id) => say(`combined.instead.${id}`))),
    list("combined.and-then", answer.then.map((id) => say(`combined.then.${id}`))),
    answer.leaves.length > 0 && h("p", {}, say("combined.ten-times")),
    answer.removes.length > 0 && h("p", {}, say("combined.no-amount")),
  ];
}

function question(pool, said, name) {
  const set = (value) => {
    said[name] = value;
    ask(pool);
  };
  const options = ["yes", "no"].map((value) => [value, say(`combined.answer.${value}`)]);
  return choice(say(`combined.question.${name}`), options, said[name], set, { name });
}

function reason({ id, said }) {
  const words = { ...said, maximum: said.maximum_mg_l, error: said.error_mg_l };
  if (said.parameter) words.parameter = sayOr(`short.${said.parameter}`, said.parameter);
  if (said.kind) words.kind = sayOr(`option.kind.${said.kind}`, said.kind);
  if (said.stop) words.stop = sayOr(`stop.${said.stop}`, said.stop);
  return say(`combined.reason.${id}`, words);
}

function list(title, items) {
  if (items.length === 0) return null;
  return h(
    "div",
    { "data-key": title },
    h("p", { class: "legend" }, say(title)),
    h("ul", {}, items.map((text) => h("li", {}, text))),
  );
}
