/**
 * What to add: four questions at that moment, then one product, or why not. Who sees an amount is decided
 * where it is worked out, by the server or on this device; this page only says what it is given.
 */

import { h } from "../ground/dom.js";
import { here, poolName, redraw } from "../ground/store.js";
import { day, when } from "../ground/time.js";
import { dosesInUs } from "../ground/unit.js";
import { listed, say, sayOr, told } from "../ground/words.js";
import { advise } from "../offline/advising.js";
import { usMeasure } from "../round/engine.js";
import { added, answered, isAnswered, isRunning } from "./added.js";
import {
  afterSentence,
  amountSentence,
  assumedSentence,
  cautionSentences,
  placeSentence,
  retestSentence,
  stateSentence,
  whySentence,
} from "./amountwords.js";
import { notHeard } from "./heard.js";
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
    state.advice = await advise(body);
    state.error = null;
  } catch (error) {
    state.error = error;
  }
  redraw();
}

/**
 * An amount of the server's that nobody began is hidden while others may have added something unheard: it is
 * asked for anew, with that question among the four.
 */
function outdated(advice) {
  return here.away && advice.saved !== "here" && advice.state === "add" && !isRunning(advice);
}

function given(advice) {
  if (advice.state === "add") return addition(advice);
  if (advice.state === "call") return call(advice);
  return [
    h("p", { class: "people", role: "status" }, stateSentence(advice)),
    h("p", {}, whySentence(advice)),
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
      h("li", { "data-key": one.id }, h("p", {}, h("b", {}, told(one.why)), " ", told(one.do))),
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
    h("p", {}, say("advice.call.tell")),
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
    h("p", { class: "add-sentence", role: "status" }, amountSentence(advice)),
    dosesInUs() && h("p", { class: "add-sentence" }, say("add.us", inUs(advice))),
    h("p", { class: "people" }, placeSentence(advice)),
    h("p", {}, whySentence(advice), " ", afterSentence(advice)),
    advice.saved === "here" && h("p", { class: "small" }, say("advice.here")),
    h("p", { class: "people" }, retestSentence(advice), " ", say("add.retest-from", retest(advice))),
    list("add.cautions", advice.cautions.map(cautionSentences).map(([text, why]) => [h("b", {}, text), " ", why])),
    list("add.borrowed", advice.borrowed.map(borrowed)),
    list("add.assumed", advice.assumed.map(assumedSentence)),
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
