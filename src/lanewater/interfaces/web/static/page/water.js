/** Water: for each pool what its readings say of the water; for one pool, how they went. */

import { get } from "../ground/api.js";
import { h } from "../ground/dom.js";
import { redraw } from "../ground/store.js";
import { when } from "../ground/time.js";
import { say } from "../ground/words.js";
import { addedLately } from "../part/addedlately.js";
import { key, keyLink, message } from "../part/key.js";
import { forgetCombined } from "../part/combined.js";
import { forgetPlan } from "../part/plan.js";
import { problem } from "../part/problem.js";
import { SPANS, trendsView } from "../part/trends.js";
import { waterLane } from "../part/waterlane.js";

const state = { pool: "", days: SPANS[0], water: null, trends: null, added: null, error: null };
let listening = false;

export const title = () => say("page.water");

export async function enter(query) {
  state.pool = query.get("pool") ?? "";
  Object.assign(state, { trends: null, added: null });
  forgetCombined();
  forgetPlan();
  if (!listening) addEventListener("resize", () => location.pathname === "/water" && redraw());
  listening = true;
  await load();
}

async function load() {
  const { pool, days } = state;
  try {
    const own = `/pools/${encodeURIComponent(pool)}`;
    const [water, trends, added] = await Promise.all([
      get("/water"),
      pool ? get(`${own}/trends`, { days }) : null,
      pool ? get(`${own}/additions`) : null,
    ]);
    if (state.pool !== pool || state.days !== days) return;
    Object.assign(state, { water, trends, added, error: null });
  } catch (error) {
    state.error = error;
  }
  redraw();
}

export function tree() {
  const { water, error } = state;
  if (error !== null) {
    const signIn = error.id === "sign-in" && keyLink(say("who.nobody"), "/sign-in", { kind: "main" });
    const words = error.id === "unreachable" ? message(say("server-needed"), "alert") : problem(error);
    return h("div", { "data-key": "water" }, h("h1", {}, say("page.water")), words, signIn);
  }
  if (water === null) return message(say("frame.waiting"));
  const shown = water.pools.filter((row) => !state.pool || row.pool === state.pool);
  return h(
    "div",
    { "data-key": "water" },
    h("h1", { class: "quiet" }, say("water.title", { at: when(water.now) })),
    h("p", { class: "quiet" }, say("water.what")),
    state.pool && keyLink(say("water.all"), "/water"),
    water.pools.length === 0 && h("p", { class: "large" }, say("now.no-pools")),
    h("ol", { class: "lanes" }, shown.map((row) => waterLane(row, Boolean(state.pool), water.may_plan))),
    state.trends && [spans(), trendsView(state.trends)],
    addedLately(state.added),
  );
}

function spans() {
  const choose = (days) => {
    state.days = days;
    load();
  };
  return h(
    "fieldset",
    { class: "choice", "data-key": "spans" },
    h("legend", {}, say("trend.span")),
    h(
      "div",
      { class: "keys" },
      SPANS.map((days) =>
        key(say(`trend.days.${days}`), () => choose(days), {
          "aria-pressed": state.days === days ? "true" : "false",
          "data-key": days,
        }),
      ),
    ),
  );
}
