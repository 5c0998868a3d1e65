/**
 * What to add: four questions at that moment, then one product, or why not. The server decides
 * who sees an amount and writes the sentences; this page only shows what it is given.
 */

import { contact, post } from "../ground/api.js";
import { h } from "../ground/dom.js";
import { here, poolName, redraw } from "../ground/store.js";
import { clock, day, when } from "../ground/time.js";
import { dosesInUs } from "../ground/unit.js";
import { listed, say, sayOr } from "../ground/words.js";
import { usMeasure } from "../round/engine.js";
import { added, answered, isAnswered, isRunning } from "./added.js";
import { key, phone } from "./key.js";
import { problem } from "./problem.js";
import { questions, waterAsked } from "./questions.js";

let state = { pool: "", round: "", person: null, answers: {}, more: {}, advice: null, error: null };

/** Whoever asks now asks for themselves: an amount is no business of the next at this device. */
function anew(pool, round) {
  const person = here.me?.person ?? null;
  state = { pool, round, person, answers: {}, more: {}, advice: null, error: null };
}

/** @param {string} pool @param {string} round the round that the amount is for */
export function adviceView(pool, round) {
  const another = state.person !== (here.me?.person ?? null);
  if (state.pool !== pool || state.round !== round || another) anew(pool, round);
  const again = () => {
    anew(pool, round);
    redraw();
  };
  if (state.advice && isAnswered(state.advice)) return answered(again);
  return h(
    "section",
    { class: "panel advice", "data-key": `advice ${pool}` },
    problem(state.error),
    notHeard(),
    state.advice === null
      ? questions(state, say("advice.ask"), () => ask())
      : [
          outdated(state.advice) ? null : given(state.advice),
          !isRunning(state.advice) && key(say("advice.ask-again"), again, { "data-key": "anew" }),
        ],
  );
}

async function ask(more = {}) {
  state.more = { ...state.more, ...more };
  try {
    const body = { pool: state.pool, questions: state.answers, ...waterAsked(state), ...state.more };
    state.advice = await post("/advice", body);
    state.error = null;
    here.away = false;
  } catch (error) {
    state.error = error;
    here.away = error.id === "unreachable";
  }
  redraw();
}

/** A device that cannot be reached does not know what others have added since. */
function notHeard() {
  if (!here.away) return null;
  const words = say("advice.not-heard", { at: clock(contact.at) });
  return h("p", { class: "people", role: "alert", "data-key": "not-heard" }, words);
}

/** An amount that nobody began is hidden while others may have added something unheard. */
function outdated(advice) {
  return here.away && advice.state === "add" && !isRunning(advice);
}

function given(advice) {
  if (advice.state === "add") return addition(advice);
  if (advice.state === "call") return call(advice);
  return [
    h("p", { class: "people", role: "status" }, advice.words),
    h("p", {}, advice.why),
    refusals(advice),
    answerable(advice),
  ];
}

/** Refused by name: what is missing or doubtful, and what would be right. */
function refusals(advice) {
  return h(
    "ul",
    { class: "doubts" },
    (advice.refusals ?? []).map((one) =>
      h("li", { "data-key": one.id }, h("p", {}, h("b", {}, one.why), " ", one.do)),
    ),
  );
}

/** A guessed volume is accepted here, by somebody competent. */
function answerable(advice) {
  const guessed = (advice.refusals ?? []).some((one) => one.id === "volume-guess-not-accepted");
  return guessed && key(say("advice.accept-guess"), () => ask({ accept_guess: true }), { "data-key": "guess" });
}

function call(advice) {
  return [
    h("p", { class: "people" }, say("advice.call")),
    h("p", {}, advice.words),
    h(
      "ul",
      { class: "call-list" },
      (advice.people ?? []).map((one) =>
        h("li", { "data-key": one.name }, h("span", {}, one.name), one.phone && phone(one.phone)),
      ),
    ),
  ];
}

function addition(advice) {
  return h(
    "div",
    { class: "add", "data-key": "add" },
    h("p", { class: "add-sentence", role: "status" }, advice.words),
    dosesInUs() && h("p", { class: "add-sentence" }, say("add.us", inUs(advice))),
    h("p", { class: "people" }, advice.place_words),
    h("p", {}, advice.why, " ", advice.after_words),
    h("p", { class: "people" }, advice.retest_words, " ", say("add.retest-from", retest(advice))),
    list("add.cautions", advice.cautions.map((one) => [h("b", {}, one.text), " ", one.why])),
    list("add.borrowed", advice.borrowed.map(borrowed)),
    list("add.assumed", advice.assumed.map((one) => one.text)),
    advice.then.length > 0 && h("p", {}, say("add.then", { names: listed(advice.then.map(name)) })),
    h("p", { class: "people" }, say("add.not-by-phone")),
    added(advice, state.pool),
  );
}

/** The same amount and its range in the measures that the site pours with. */
function inUs(advice) {
  const parts = ["amount", "low", "high"].map((part) => {
    const found = usMeasure(advice[part], advice.unit);
    return [part, `${found.amount} ${say(`unit.${found.unit}`)}`];
  });
  return Object.fromEntries(parts);
}

function name(parameter) {
  return sayOr(`short.${parameter}`, parameter);
}

function borrowed(one) {
  return say("add.borrowed-one", { name: name(one.parameter), value: one.value, at: day(one.at) });
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

function retest(advice) {
  return {
    at: when(advice.retest.not_before),
    pools: listed((advice.retest.pools ?? [state.pool]).map(poolName)),
  };
}
