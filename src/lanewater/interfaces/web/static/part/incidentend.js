/** How an incident ends: what must be met, with its clause, and the PIN of somebody who may. */

import { h } from "../ground/dom.js";
import { here, may, poolName, redraw } from "../ground/store.js";
import { listed, say } from "../ground/words.js";
import { endIncident } from "../offline/incidents.js";
import { deciders } from "./call.js";
import { fold } from "./fold.js";
import { key, phone } from "./key.js";
import { newPin, pinPad } from "./pin.js";
import { problem } from "./problem.js";
import { reasonField } from "./reason.js";

const CHIPS = ["false-alarm-looked", "false-alarm-mistake"];
const state = { what: "", reason: "", pin: newPin(), error: null };

export function leaveEnding() {
  Object.assign(state, { what: "", reason: "", pin: newPin(), error: null });
}

/** @param {any} incident @param {(ended: any) => void} onEnd */
export function endPart(incident, onEnd) {
  const met = incident.criteria.filter((one) => one.met === "yes").length;
  return fold(
    "end",
    say("incidents.end.met", { met: String(met), all: String(incident.criteria.length) }),
    incident.may_end,
    h("ul", { class: "incident-criteria" }, incident.criteria.map((one) => criterion(incident, one))),
    may("end-incident") === "yes" ? ending(incident, onEnd) : whoEnds(),
  );
}

function criterion(incident, { id, met, clause, why }) {
  return h(
    "li",
    { class: `criterion criterion-${met}`, "data-key": id },
    h("b", {}, say(`incidents.met.${met}`)),
    h(
      "span",
      {},
      say(`incident.criterion.${id}`),
      clause && h("small", {}, ` ${clause}`),
      met !== "yes" && againstWords(incident, why),
    ),
  );
}

/** The steps and the pools that a criterion waits for. */
function againstWords({ steps, pools }, why) {
  const named = why.flatMap((id) => {
    const number = steps.findIndex((one) => one.id === id) + 1;
    if (number > 0) return [say("incidents.step-number", { number })];
    return pools.includes(id) ? [poolName(id)] : [];
  });
  return named.length === 0 ? null : h("span", { class: "rest" }, say("incidents.against", { what: listed(named) }));
}

function whoEnds() {
  return [
    h("p", {}, say("incidents.end.who")),
    h(
      "ul",
      { class: "call-list" },
      deciders().map((one) => h("li", { "data-key": one.id ?? one.contact ?? one.name }, h("span", {}, one.name), one.phone && phone(one.phone))),
    ),
  ];
}

function ending(incident, onEnd) {
  const choose = (what) => () => {
    Object.assign(state, { what: state.what === what ? "" : what, reason: "", pin: newPin(), error: null });
    redraw();
  };
  const keyOf = (what, more = {}) =>
    key(say(`incidents.end.${what}`), choose(what), { "aria-expanded": state.what === what ? "true" : "false", "data-key": what, ...more });
  return [
    !incident.may_end && h("p", { class: "people" }, say("incidents.end.not-yet")),
    h(
      "div",
      { class: "keys" },
      keyOf("criteria-met", { disabled: !incident.may_end, kind: incident.may_end ? "main" : "plain" }),
      keyOf("false-alarm"),
    ),
    state.what !== "" && panel(incident, onEnd),
  ];
}

function panel(incident, onEnd) {
  const falseAlarm = state.what === "false-alarm";
  if (!falseAlarm && !incident.may_end) return null;
  const words = say(`incidents.end.${state.what}`);
  return h(
    "section",
    { class: "panel", "aria-label": words, "data-key": "ending" },
    h("p", {}, say(`incidents.end.${state.what}.what`)),
    problem(state.error),
    falseAlarm && reasonField(state, CHIPS),
    (!falseAlarm || state.reason !== "") && [
      h("p", {}, say("opening.pin", { name: here.me.name })),
      pinPad(state.pin, words, (pin) => end(incident, falseAlarm, pin, onEnd)),
    ],
  );
}

async function end(incident, falseAlarm, pin, onEnd) {
  const { incident: id, kind, pool, pools } = incident;
  try {
    await endIncident(incident, { falseAlarm, pin, ...(state.reason && { reason: state.reason }) });
    leaveEnding();
    onEnd({ incident: id, kind, pool, pools, at: Date.now() });
    scrollTo(0, 0);
  } catch (error) {
    state.error = error;
  }
  redraw();
}
