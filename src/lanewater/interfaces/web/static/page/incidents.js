/** Incidents: begun in two taps by anybody, gone through in order, ended by somebody who may. */

import { h } from "../ground/dom.js";
import { go } from "../ground/router.js";
import { here, poolName, pools, redraw } from "../ground/store.js";
import { clock } from "../ground/time.js";
import { listed, say } from "../ground/words.js";
import { begin, openIncidents, poolsFor } from "../offline/incidents.js";
import { hasView, heed, now as nowHere } from "../offline/view.js";
import { incidentLanes } from "../part/incidentlane.js";
import { incidentView, leaveIncident } from "../part/incident.js";
import { kindKeys } from "../part/incidentkinds.js";
import { key, keyLink } from "../part/key.js";
import { problem } from "../part/problem.js";
import { outcomeShape } from "../part/shape.js";

const FRESH_MS = 15_000;
let timer = 0;

const state = { incident: "", kind: "", pool: "", ended: null, busy: false, error: null };

export const title = () => say("page.incidents");

export function enter(query) {
  clearInterval(timer);
  timer = setInterval(() => location.pathname === "/incidents" && load(), FRESH_MS);
  const incident = query.get("incident") ?? "";
  if (incident !== state.incident) leaveIncident();
  Object.assign(state, { incident, kind: "", pool: query.get("pool") ?? "", busy: false, error: null });
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
      pools().map((one) => key(poolWords(one), () => start(one.pool), { kind: "stop", disabled: state.busy, "data-key": one.pool })),
    ),
    key(say("incidents.other-kind"), () => enter(new URLSearchParams()), { "data-key": "other" }),
  );
}

function poolWords({ pool, name }) {
  const out = listed(poolsFor(state.kind, pool).map(poolName));
  return h("span", { class: "two-lines" }, h("b", {}, name), h("small", {}, say("incidents.out-of", { pools: out })));
}

async function start(pool) {
  Object.assign(state, { busy: true, error: null });
  redraw();
  try {
    const { incident } = await begin(state.kind, pool);
    go(`/incidents?incident=${incident}`);
  } catch (error) {
    Object.assign(state, { busy: false, error });
  }
  redraw();
}
