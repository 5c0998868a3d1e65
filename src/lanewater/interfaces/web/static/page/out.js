/** Everyone out: any person, any role, no sign-in. Saved first; reasons, names and tests after. */

import { h } from "../ground/dom.js";
import { go } from "../ground/router.js";
import { poolName, pools, redraw } from "../ground/store.js";
import { keptStops } from "../ground/stops.js";
import { clock } from "../ground/time.js";
import { say } from "../ground/words.js";
import { begin } from "../offline/incidents.js";
import { callOut } from "../offline/local.js";
import { stateOf } from "../offline/view.js";
import { callList } from "../part/call.js";
import { kindKeys } from "../part/incidentkinds.js";
import { key, keyLink } from "../part/key.js";
import { problem } from "../part/problem.js";
import { outcomeShape } from "../part/shape.js";
import { tellList } from "../part/tell.js";

const STOPS = [
  "bottom-not-seen",
  "bottom-cannot-tell",
  "smell-or-gas",
  "circulation-stopped",
  "stool",
  "vomit",
  "blood",
  "glass",
  "spill",
  "drain-cover",
  "hot-pool",
  "lightning",
  "other",
];

/** What keeps everyone out and is no incident; the rest begins one. */
const WHYS = ["bottom-not-seen", "bottom-cannot-tell", "drain-cover", "hot-pool"];

const state = { pool: "", stop: "", called: 0, entry: "", saved: "", also: [], error: null, reason: "" };

export const kind = "stop-page";
export const title = () => say("out.key");

export function enter(query) {
  const pool = query.get("pool") ?? "";
  const same = pool !== "" && pool === state.pool && state.called > 0 && query.get("stop") === state.stop;
  if (same) return;
  Object.assign(state, { pool, stop: query.get("stop") ?? "", called: 0, entry: "", also: [] });
  Object.assign(state, { error: null, reason: "" });
}

export function tree() {
  return h(
    "section",
    { class: "stop", "data-key": "out" },
    h("div", { class: "stop-head" }, outcomeShape("stop"), h("h1", {}, headline())),
    h("p", { class: "stop-what" }, say("out.not-law")),
    state.called ? afterwards() : state.pool ? confirm() : whichPool(),
  );
}

function headline() {
  const words = { pool: poolName(state.pool), at: clock(state.called || Date.now()) };
  if (state.called) return say("out.called", words);
  if (!state.pool) return say("out.which");
  const stop = STOPS.includes(state.stop) ? state.stop : "other";
  return `${say(`stop.${stop}`)}. ${say("out.title")} ${words.pool}.`;
}

/** Not seen is on record with the first tap; whether anybody was in is told after. */
export function callNow(pool, stop) {
  Object.assign(state, { pool, stop, called: 0, entry: "", also: [], error: null, reason: "" });
  call(pool);
}

async function call(pool, more = {}) {
  Object.assign(state, { pool, stop: STOPS.includes(state.stop) ? state.stop : "other" });
  state.called = Date.now();
  const { stop, called } = state;
  redraw();
  try {
    const answer = await callOut(pool, stop, more);
    // "Saved" is said of this call alone, not of one that was made before the answer came.
    if (state.pool === pool && state.called === called) {
      Object.assign(state, { entry: answer.entry, saved: answer.saved, also: answer.also_look, error: null });
    }
  } catch (error) {
    state.error = error;
  }
  redraw();
}

function whichPool() {
  return h(
    "div",
    { class: "keys keys-wide", "data-key": "which" },
    pools().map((one) =>
      key(one.name, () => call(one.pool), {
        kind: "stop",
        "aria-label": say("out.of", one),
        "data-key": one.pool,
      }),
    ),
  );
}

function confirm() {
  return h(
    "div",
    { class: "keys keys-wide", "data-key": "confirm" },
    state.stop === "bottom-cannot-tell" && h("p", { class: "large" }, say("out.look-again")),
    key(say("out.everyone"), () => call(state.pool), { kind: "stop", "data-key": "everyone" }),
    key(say("out.nobody"), () => call(state.pool, { nobody_in: true }), { "data-key": "nobody" }),
  );
}

function afterwards() {
  return h(
    "div",
    { "data-key": "after" },
    isLost(state.error) ? problem(state.error) : h("p", { class: "large saved", role: "status" }, savedWords()),
    state.saved === "here" && h("p", { class: "small", "data-key": "on-record" }, say(`saved.${stateOf(state.entry)}`)),
    state.also.length > 0 &&
      h(
        "ul",
        { class: "large" },
        state.also.map((pool) =>
          h(
            "li",
            { "data-key": pool },
            say("out.also", { pool: poolName(pool) }),
            " ",
            keyLink(say("lane.look"), `/look?pool=${pool}`, {
              "aria-label": say("lane.look-pool", { name: poolName(pool) }),
            }),
          ),
        ),
      ),
    state.entry && [h("h2", {}, say("out.tell")), tellList(state.pool, state.entry, tellWords())],
    state.stop === "other" && [h("h2", {}, say("incidents.begin")), kindKeys(happened), h("h3", {}, say("incidents.other-kind")), whyKeys()],
    h("h2", {}, say("call.title")),
    callList(),
    h(
      "div",
      { class: "keys" },
      state.stop !== "other" && keyLink(say("incidents.begin"), `/incidents?pool=${state.pool}`, { "data-key": "happened" }),
      keyLink(say("out.test-anyway", { name: poolName(state.pool) }), `/test?pool=${state.pool}`),
      keyLink(say("page.now"), "/"),
    ),
    h("p", { class: "small" }, say("out.ending")),
  );
}

/** Whether nothing at all keeps the call: then only a voice does. */
function isLost(error) {
  return Boolean(error?.id?.startsWith("not-kept-"));
}

function savedWords() {
  if (state.entry) return say("out.saved", { at: clock(state.called) });
  if (state.error) return say("out.not-sent", { at: clock(state.called), count: keptStops().length });
  return say("out.saving");
}

function tellWords() {
  return say("tell.out", { pool: poolName(state.pool), at: clock(state.called), stop: say(`stop.${state.stop}`) });
}

/** Everyone is out: what happened leads on to the incident, with its steps. */
async function happened(kind) {
  try {
    const { incident } = await begin(kind, state.pool);
    go(`/incidents?incident=${incident}`);
  } catch (error) {
    state.error = error;
    redraw();
  }
}

/** Why, once everybody is out: a line of its own beside the first. */
function whyKeys() {
  return h(
    "div",
    { class: "keys", role: "group", "aria-label": say("out.why") },
    WHYS.map((stop) =>
      key(say(`stop.${stop}`), () => why(stop), {
        "aria-pressed": state.reason === stop ? "true" : "false",
        "data-key": stop,
      }),
    ),
  );
}

async function why(stop) {
  state.reason = stop;
  redraw();
  try {
    await callOut(state.pool, stop);
  } catch (error) {
    state.error = error;
  }
  redraw();
}

