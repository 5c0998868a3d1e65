/**
 * Plan for this water: the whole way to the site's targets, for a competent person only. Nothing
 * is added from it: the amount for now comes from What to add. The server writes the sentences.
 */

import { post } from "../ground/api.js";
import { h } from "../ground/dom.js";
import { here, redraw } from "../ground/store.js";
import { day } from "../ground/time.js";
import { say, sayOr, told } from "../ground/words.js";
import { key, keyLink, phone } from "./key.js";
import { problem } from "./problem.js";
import { questions, waterAsked } from "./questions.js";

let asked = null;

/** Leave no plan on a shared device: whoever comes next may know less, and the water moves on. */
export function forgetPlan() {
  asked = null;
}

/** The key that opens a pool's plan. @param {any} row of the Water page */
export function planKey(row) {
  const open = asked?.pool === row.pool;
  const press = () => {
    asked = open ? null : { pool: row.pool, answers: {}, more: {}, plan: null, error: null };
    redraw();
  };
  const more = { "aria-expanded": open ? "true" : "false", "aria-label": say("plan.open-of", row) };
  return key(say("plan.open"), press, { "data-key": "plan", ...more });
}

/** @param {any} row of the Water page */
export function planPanel(row) {
  if (asked?.pool !== row.pool) return null;
  const { plan, error } = asked;
  return h(
    "section",
    { class: "panel plan", "data-key": "plan panel", "aria-label": say("plan.open-of", row) },
    h("h3", {}, say("plan.open")),
    h("p", { class: "people" }, say("plan.nothing-from-this")),
    problem(error),
    plan === null
      ? questions(asked, say("plan.ask"), () => ask())
      : [planTold(plan), key(say("advice.ask-again"), () => again(row.pool), { "data-key": "anew" })],
  );
}

function again(pool) {
  asked = { pool, answers: {}, more: {}, plan: null, error: null };
  redraw();
}

async function ask(more = {}) {
  const one = asked;
  one.more = { ...one.more, ...more };
  try {
    const body = { pool: one.pool, questions: one.answers, ...waterAsked(one), ...one.more };
    one.plan = await post("/plan", body);
    one.error = null;
  } catch (error) {
    one.error = error;
  }
  redraw();
}

function planTold(plan) {
  if (here.away) return h("p", { class: "people", role: "alert" }, say("warn.away"));
  if (plan.state === "call") return call(plan);
  return [
    h("p", { class: "add-sentence", role: "status" }, plan.words),
    list("plan.why", plan.why.map((one) => one.words)),
    list("plan.refusals", plan.refusals.map((one) => [h("b", {}, told(one.why)), " ", told(one.do)])),
    guessed(plan),
    plan.binding?.words && h("p", { class: "people" }, plan.binding.words),
    order(plan),
    list(plan.first.name ? "plan.totals-beside" : "plan.totals", plan.totals.map((one) => one.words)),
    cautions(plan.steps),
    list("plan.unreached", plan.unreached.map((one) => one.words)),
    list("plan.left-out", plan.left_out.map((one) => one.words)),
    list("add.borrowed", (plan.borrowed ?? []).map(borrowed)),
    list("add.assumed", (plan.assumed ?? []).map((one) => told(one.text))),
    plan.steps.length > 0 && h("p", { class: "people" }, say("add.not-by-phone")),
  ];
}

function call(plan) {
  return [
    h("p", { class: "people" }, say("advice.call")),
    h("p", {}, plan.words),
    h(
      "ul",
      { class: "call-list" },
      (plan.people ?? []).map((one) =>
        h("li", { "data-key": one.name }, h("span", {}, one.name), one.phone && phone(one.phone)),
      ),
    ),
  ];
}

/** The order of the steps; the first is asked of What to add, where it goes on record. */
function order(plan) {
  const { first, steps } = plan;
  if (!first.name && steps.length === 0) return null;
  return h(
    "div",
    { "data-key": "order" },
    h("p", { class: "legend" }, say("plan.order")),
    h(
      "ol",
      { class: "plan-steps" },
      first.name &&
        h(
          "li",
          { "data-key": "first" },
          h("p", {}, say("plan.first", { what: sayOr(`purpose.${first.purpose}`, first.purpose), name: first.name })),
          keyLink(say("lane.test"), `/test?pool=${asked.pool}`),
        ),
      steps.map((step, place) =>
        h("li", { "data-key": `${place}` }, h("p", {}, step.words)),
      ),
    ),
  );
}

/** Each caution of the steps once; those of the amount for now stand beside it, where it is shown. */
function cautions(steps) {
  const found = new Map(steps.flatMap((step) => step.cautions).map((one) => [one.id, one]));
  if (found.size === 0) return null;
  return h(
    "details",
    { class: "fold", "data-key": "cautions" },
    h("summary", {}, say("add.cautions")),
    h("ul", {}, [...found.values()].map((one) => h("li", {}, h("b", {}, told(one.text)), " ", told(one.why)))),
  );
}

/** A guessed volume is accepted here, by somebody competent. */
function guessed(plan) {
  const asks = plan.refusals.some((one) => one.id === "volume-guess-not-accepted");
  return asks && key(say("advice.accept-guess"), () => ask({ accept_guess: true }), { "data-key": "guess" });
}

function borrowed(one) {
  const name = sayOr(`short.${one.parameter}`, one.parameter);
  return say("add.borrowed-one", { name, value: one.value, at: day(one.at) });
}

function list(title, items) {
  const rows = items.filter(Boolean);
  if (rows.length === 0) return null;
  return h(
    "div",
    { "data-key": title },
    h("p", { class: "legend" }, say(title)),
    h("ul", {}, rows.map((text) => h("li", {}, text))),
  );
}
