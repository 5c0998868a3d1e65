/** The steps of an incident in order: done, not needed or not yet, each one tap; some are only read off. */

import { h } from "../ground/dom.js";
import { here, poolName, redraw } from "../ground/store.js";
import { when } from "../ground/time.js";
import { say, sayOr } from "../ground/words.js";
import { answerStep, mayBeLeft, noteAt } from "../offline/incidents.js";
import { fold } from "./fold.js";
import { key, keyLink } from "./key.js";
import { problem } from "./problem.js";
import { who } from "./sentence.js";

const state = { open: "", words: "", busy: "", failed: "", error: null };

export function leaveSteps() {
  Object.assign(state, { open: "", words: "", busy: "", failed: "", error: null });
}

const SAID = ["done", "not-needed"];

/** The step to do now stands alone. @param {any} incident */
export function nowPart(incident) {
  const { steps, next } = incident;
  if (!steps.some((one) => one.id === next)) return null;
  return h("section", { "data-key": "now" }, h("h2", {}, say("incidents.now")), stepList(incident, [next]));
}

/** What comes after it, and what was said already: on a phone one line each. @param {any} incident */
export function otherSteps(incident) {
  const others = incident.steps.filter((one) => one.id !== incident.next);
  const said = others.filter((one) => SAID.includes(one.state)).map((one) => one.id);
  const later = others.filter((one) => !SAID.includes(one.state)).map((one) => one.id);
  return [
    later.length > 0 && fold("later", say("incidents.later", { count: later.length }), false, stepList(incident, later)),
    said.length > 0 && fold("said", say("incidents.steps-said", { count: said.length }), false, stepList(incident, said)),
  ];
}

function stepList(incident, ids) {
  const shown = incident.steps.map((step, index) => ({ step, number: index + 1 })).filter(({ step }) => ids.includes(step.id));
  return h("ol", { class: "incident-steps" }, shown.map(({ step, number }) => stepView(incident, step, number)));
}

function stepView(incident, step, number) {
  const isNext = step.id === incident.next;
  return h(
    "li",
    { class: `stage stage-${step.state}${isNext ? " stage-next" : ""}`, value: number, "data-key": step.id, "aria-current": isNext ? "step" : null },
    h("span", { class: "stage-place", "aria-hidden": "true" }, number),
    h(
      "div",
      { class: "stage-body" },
      h("p", { class: "stage-words" }, stepWords(step), step.clause && h("small", {}, ` ${step.clause}`)),
      h("p", { class: "stage-state" }, stateWords(incident, step)),
      step.said && h("p", { class: "small" }, `“${step.said}”`),
      answers(incident, step, isNext),
      state.failed === step.id && problem(state.error),
    ),
  );
}

/** The rules' own words, or ours. */
function stepWords(step) {
  return step.words || say(`incident.step.${step.id}`);
}

function stateWords(incident, step) {
  // That the step to do now comes first is what their order says.
  if (step.gate === `step:${incident.next}`) return "";
  if (step.state === "locked") return gateWords(incident, step.gate);
  if (step.state === "to-do") return notYetWords(incident, step);
  if (step.measured) return `${say(`incidents.state.${step.state}`)} ${say("incidents.measured")}`;
  return step.at ? say(`incidents.said.${step.state}`, saidBy(step)) : say(`incidents.state.${step.state}`);
}

const saidBy = ({ at, by }) => ({ at: when(at), by: who(by, here.now?.people) });

/** Somebody said "not yet", or took back what was said. */
function notYetWords({ facts }, { id }) {
  const last = facts.steps.filter((one) => one.step === id).pop();
  return last?.answer === "not-done" ? say("incidents.said.not-done", saidBy(last)) : "";
}

/** What a step waits for. */
function gateWords({ steps }, gate) {
  const [kind, id] = gate.split(":");
  if (kind !== "step") return sayOr(`incidents.gate.${gate}`, say("incidents.gate.reading"));
  const number = steps.findIndex((one) => one.id === id) + 1;
  return number > 0 ? say("incidents.gate.step", { number }) : say("incidents.gate.reading");
}

function answers(incident, step, isNext) {
  if (step.state === "locked") return null;
  if (step.measured) return step.state === "done" ? null : measuring(incident, step, isNext);
  if (step.state !== "to-do" && state.open !== step.id) {
    return key(say("incidents.change"), () => open(step.id), { kind: "small", class: "key key-small change", "data-key": "change" });
  }
  if (step.named) return named(incident, step, isNext);
  return h(
    "div",
    { class: "keys", "data-key": "answers" },
    choices(step).map((answer) =>
      key(say(`incidents.answer.${answer}`), () => give(incident, step, answer), {
        kind: answer === "done" && isNext ? "main" : "plain",
        disabled: state.busy === step.id,
        "data-key": answer,
        "aria-label": say("incidents.answer-step", { answer: say(`incidents.answer.${answer}`), step: stepWords(step) }),
      }),
    ),
  );
}

const choices = (step) => ["done", ...(mayBeLeft(step.id) ? ["not-needed"] : []), "not-done"];

function open(id) {
  Object.assign(state, { open: id, words: "", failed: "", error: null });
  redraw();
}

/** What a named person says counts only with the name. */
function named(incident, step, isNext) {
  if (!here.me?.person) {
    return h(
      "div",
      { "data-key": "named" },
      h("p", {}, say("incidents.named.sign-in")),
      keyLink(say("signin.title"), `/sign-in?back=${encodeURIComponent(location.pathname + location.search)}`, { kind: isNext ? "main" : "plain" }),
    );
  }
  const typed = state.open === step.id ? state.words : "";
  const oninput = (event) => {
    Object.assign(state, { open: step.id, words: event.target.value.trim() });
    redraw();
  };
  return h(
    "div",
    { "data-key": "named" },
    h("label", {}, say("incidents.named.words", { name: here.me.name }), h("input", { maxlength: 300, autocomplete: "off", oninput })),
    h(
      "div",
      { class: "keys" },
      key(say("incidents.named.key", { name: here.me.name }), () => give(incident, step, "done", typed), {
        kind: isNext ? "main" : "plain",
        disabled: typed === "" || state.busy === step.id,
        "data-key": "done",
      }),
      key(say("incidents.answer.not-done"), () => give(incident, step, "not-done"), { "data-key": "not-done" }),
    ),
  );
}

const LISTENS = ["thunder"];

/** What is read off the record: where the reading is taken, or what begins the time anew. */
function measuring(incident, step, isNext) {
  if (step.id === "route") {
    return h("a", { class: "key", href: "#routes", onclick: toRoutes, "data-key": "to-routes" }, say("incidents.to-routes"));
  }
  if (LISTENS.includes(incident.kind)) {
    return key(say("incidents.seen-again"), () => again(incident, step), { kind: "stop", disabled: state.busy === step.id, "data-key": "again" });
  }
  return h(
    "div",
    { class: "keys", "data-key": "readings" },
    incident.pools.map((pool) =>
      keyLink(say("incidents.reading", { name: poolName(pool) }), `/test?pool=${pool}`, { kind: isNext ? "main" : "plain", "data-key": pool }),
    ),
  );
}

function toRoutes(event) {
  event.preventDefault();
  document.getElementById("routes")?.scrollIntoView();
}

const again = (incident, step) => attempt(step.id, () => noteAt(incident, { what: "again" }));

const give = (incident, step, answer, words = "") => attempt(step.id, () => answerStep(incident, step.id, answer, words));

async function attempt(id, action) {
  Object.assign(state, { busy: id, failed: "", error: null });
  const opened = state.open;
  redraw();
  try {
    await action();
    // What somebody types at the next step meanwhile is theirs.
    if (state.open === opened) Object.assign(state, { open: "", words: "" });
  } catch (error) {
    Object.assign(state, { failed: id, error });
  }
  state.busy = "";
  redraw();
}
