/** Incidents: begun in two taps by anybody, gone through in order, ended by somebody who may. */

import { h } from "../ground/dom.js";
import { go } from "../ground/router.js";
import { here, poolName, pools, redraw } from "../ground/store.js";
import { clock, fromLocal, isoDay, stamp } from "../ground/time.js";
import { listed, say } from "../ground/words.js";
import { LONGEST_AGO_MS, begin, openIncidents, poolsFor } from "../offline/incidents.js";
import { hasView, heed, now as nowHere } from "../offline/view.js";
import { incidentLanes } from "../part/incidentlane.js";
import { incidentView, leaveIncident } from "../part/incident.js";
import { kindKeys } from "../part/incidentkinds.js";
import { key, keyLink, message } from "../part/key.js";
import { problem } from "../part/problem.js";
import { outcomeShape } from "../part/shape.js";

const FRESH_MS = 15_000;
let timer = 0;

const state = { incident: "", kind: "", pool: "", day: "", time: "", ended: null, busy: false, error: null };

export const title = () => say("page.incidents");
export const isUrgent = () => state.incident !== "" || state.kind !== "";

export function enter(query) {
  clearInterval(timer);
  timer = setInterval(() => location.pathname === "/incidents" && load(), FRESH_MS);
  const incident = query.get("incident") ?? "";
  if (incident !== state.incident) leaveIncident();
  Object.assign(state, { incident, kind: "", pool: query.get("pool") ?? "", day: "", time: "", busy: false, error: null });
  if (incident !== state.ended?.incident) state.ended = null;
  if (hasView()) here.now = nowHere();
  load();
}

async function load() {
  await heed();
  redraw();
}

export function tree() {
  if (state.incident) return oneIncident();
  return h(
    "div",
    { class: "incidents", "data-key": "incidents" },
    state.kind ? which() : [h("h1", {}, say("page.incidents")), problem(state.error), running(), beginning()],
  );
}

function oneIncident() {
  const found = openIncidents().find((one) => one.incident === state.incident);
  if (state.ended) return ended();
  if (!found) return gone();
  return incidentView(found, (what) => (state.ended = what));
}

function gone() {
  return h(
    "div",
    { "data-key": "gone" },
    h("h1", {}, say("page.incidents")),
    h("p", { class: "large" }, say("incidents.gone")),
    h("div", { class: "keys" }, keyLink(say("page.incidents"), "/incidents"), keyLink(say("page.record"), "/record")),
  );
}

/** Ended is not open: what was closed for it stays closed. */
function ended() {
  const { kind, pool, pools: concerned, at } = state.ended;
  return h(
    "div",
    { "data-key": "ended" },
    h("h1", {}, say("incidents.title", { kind: say(`incident.kind.${kind}`), pool: poolName(pool) })),
    h("p", { class: "large saved", role: "status" }, say("incidents.ended", { at: clock(at) })),
    h("p", { class: "people" }, say("incidents.still-closed", { pools: listed(concerned.map(poolName)) })),
    h("div", { class: "keys" }, keyLink(say("page.now"), "/", { kind: "main" }), keyLink(say("page.record"), "/record")),
  );
}

function running() {
  const found = openIncidents();
  if (found.length === 0) return null;
  return [h("h2", {}, say("incidents.open")), incidentLanes(found)];
}

function beginning() {
  const inPool = state.pool ? say("incidents.begin-in", { pool: poolName(state.pool) }) : say("incidents.begin");
  return h(
    "section",
    { "data-key": "begin" },
    h("h2", { class: "begin" }, inPool),
    h("p", { class: "quiet" }, say("incidents.what")),
    pools().length === 0 ? h("p", { class: "large" }, say("now.no-pools")) : kindKeys(choose),
  );
}

function choose(kind) {
  state.kind = kind;
  scrollTo(0, 0);
  if (state.pool) start(state.pool);
  else redraw();
}

/** When it began, as somebody says; none where nothing is said. [UTC ms] */
function beganAt() {
  return state.time === "" ? null : fromLocal(state.day || isoDay(Date.now()), state.time);
}

/** Whether the time that is said can be one: not ahead, and not of long ago. */
function isTime(at, now = Date.now()) {
  return at === null || (at <= now && at >= now - LONGEST_AGO_MS);
}

/** Found late, as the first morning round finds it: the time it began, where somebody knows it. */
function earlier() {
  const now = Date.now();
  const set = (name) => (event) => {
    state[name] = event.target.value;
    redraw();
  };
  return h(
    "details",
    { class: "folded", "data-key": "earlier" },
    h("summary", {}, say("incidents.earlier")),
    h("p", { class: "small" }, say("incidents.earlier.what")),
    h("label", {}, say("incidents.earlier.day"), h("input", { type: "date", value: state.day || isoDay(now), min: isoDay(now - LONGEST_AGO_MS), max: isoDay(now), onchange: set("day") })),
    h("label", {}, say("incidents.earlier.time"), h("input", { type: "time", value: state.time, onchange: set("time") })),
    !isTime(beganAt(), now) && message(say("incidents.earlier.cannot"), "alert"),
  );
}

/** The second tap: the pool. It has everyone out. */
function which() {
  return h(
    "section",
    { class: "stop", "data-key": "which" },
    h("div", { class: "stop-head" }, outcomeShape("stop"), h("h1", {}, say("incidents.where", { kind: say(`incident.kind.${state.kind}`) }))),
    problem(state.error),
    h(
      "div",
      { class: "keys keys-wide" },
      pools().map((one) => key(poolWords(one), () => start(one.pool), { kind: "stop", disabled: state.busy || !isTime(beganAt()), "data-key": one.pool })),
    ),
    earlier(),
    key(say("incidents.other-kind"), () => enter(new URLSearchParams()), { "data-key": "other" }),
  );
}

function poolWords({ pool, name }) {
  const out = listed(poolsFor(state.kind, pool).map(poolName));
  return h("span", { class: "two-lines" }, h("b", {}, name), h("small", {}, say("incidents.out-of", { pools: out })));
}

async function start(pool) {
  const at = beganAt();
  Object.assign(state, { busy: true, error: null });
  redraw();
  try {
    const { incident } = await begin(state.kind, pool, {}, at === null ? "" : stamp(at));
    go(`/incidents?incident=${incident}`);
  } catch (error) {
    Object.assign(state, { busy: false, error });
  }
  redraw();
}
