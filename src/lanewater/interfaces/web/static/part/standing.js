/** Who may open when nobody senior is there: standing permissions, and whether a word by telephone counts. */

import { post } from "../ground/api.js";
import { h } from "../ground/dom.js";
import { here, may, poolName, pools, redraw } from "../ground/store.js";
import { fromLocal, isoDay, stamp, when } from "../ground/time.js";
import { listed, say } from "../ground/words.js";
import { carried } from "../offline/carry.js";
import { heed } from "../offline/view.js";
import { key } from "./key.js";
import { newPin, pinPad } from "./pin.js";
import { problem } from "./problem.js";
import { who } from "./sentence.js";

const DAY_MS = 86_400_000;
const state = { ending: "", giving: false, person: "", pools: new Set(), from: "", until: "", pin: newPin(), error: null };

/** For whoever may open pools themselves; it needs the server. */
export function standingFold() {
  const authority = carried()?.authority;
  if (may("open") !== "yes" || !authority) return null;
  return h(
    "details",
    { class: "fold", "data-key": "standing" },
    h("summary", {}, say("standing.title")),
    h("p", { class: "small" }, say("standing.what")),
    problem(state.error),
    here.away ? h("p", {}, say("standing.away")) : [telephone(authority), list(authority.standing), giving()],
  );
}

function telephone({ telephone: allowed }) {
  return h(
    "p",
    { "data-key": "telephone" },
    say(allowed ? "standing.telephone.on" : "standing.telephone.off"),
    " ",
    here.me?.may_set_up &&
      key(say(allowed ? "standing.telephone.forbid" : "standing.telephone.allow"), () =>
        attempt(() => post("/site/telephone", { allowed: !allowed })),
      ),
  );
}

function list(rows) {
  const now = Date.now();
  return h(
    "ul",
    {},
    rows
      .filter((row) => row.until > now)
      .map((row) =>
        h(
          "li",
          { "data-key": row.authority },
          say("standing.one", {
            name: who(row.person, here.now?.people),
            pools: listed(row.pools.map(poolName)),
            from: when(row.from),
            until: when(row.until),
          }),
          " ",
          key(say("standing.end"), () => choose({ ending: row.authority, giving: false })),
          state.ending === row.authority &&
            pinPad(state.pin, say("standing.end"), (pin) =>
              attempt(() => post("/authorities/end", { authority: row.authority, pin })),
            ),
        ),
      ),
  );
}

function choose(change) {
  Object.assign(state, change, { pin: newPin(), error: null });
  redraw();
}

function giving() {
  if (!state.giving) return key(say("standing.give"), () => choose({ giving: true, ending: "" }), { "data-key": "give" });
  const others = here.people.filter((one) => one.may?.open !== "yes");
  const set = (name) => (event) => {
    state[name] = event.target.value;
    redraw();
  };
  const ready = state.person && state.pools.size > 0 && state.from && state.until;
  return h(
    "div",
    { class: "panel", "data-key": "giving" },
    h(
      "label",
      {},
      say("standing.person"),
      h(
        "select",
        { onchange: set("person") },
        h("option", { value: "" }, ""),
        others.map((one) => h("option", { value: one.id, selected: one.id === state.person }, one.name)),
      ),
    ),
    h(
      "fieldset",
      { class: "choice" },
      h("legend", {}, say("standing.pools")),
      h("div", { class: "keys" }, pools().map(poolKey)),
    ),
    h("label", {}, say("standing.from"), h("input", { type: "date", min: isoDay(Date.now()), value: state.from, onchange: set("from") })),
    h("label", {}, say("standing.until"), h("input", { type: "date", min: state.from, value: state.until, onchange: set("until") })),
    ready && pinPad(state.pin, say("standing.give"), give),
  );
}

function poolKey({ pool, name }) {
  const chosen = state.pools.has(pool);
  const toggle = () => {
    if (chosen) state.pools.delete(pool);
    else state.pools.add(pool);
    redraw();
  };
  return key(name, toggle, { "aria-pressed": chosen ? "true" : "false", "data-key": pool });
}

/** From the start of the first day to the end of the last. */
function give(pin) {
  const from = fromLocal(state.from, "00:00");
  const until = fromLocal(isoDay(fromLocal(state.until, "12:00") + DAY_MS), "00:00");
  const { person } = state;
  return attempt(() => post("/authorities", { person, pools: [...state.pools], from: stamp(from), until: stamp(until), pin }));
}

async function attempt(action) {
  try {
    await action();
    choose({ giving: false, ending: "", person: "", pools: new Set(), from: "", until: "" });
    await heed({ after: true });
  } catch (error) {
    state.error = error;
  }
  redraw();
}
