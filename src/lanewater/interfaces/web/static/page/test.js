/** Test: at the bench, one pool. Order free; judged when a field is finished; saved by name. */

import { get, post } from "../ground/api.js";
import { h } from "../ground/dom.js";
import { refresh } from "../ground/session.js";
import { here, poolName, pools, redraw } from "../ground/store.js";
import { countdown } from "../ground/time.js";
import { say } from "../ground/words.js";
import { actionSentence } from "../part/action.js";
import { afterRound, early } from "../part/after.js";
import { benchView, pad, showActive, typed } from "../part/benchview.js";
import { extras } from "../part/extras.js";
import { closeGuide, guideKey, guideView } from "../part/guide.js";
import { key, keyLink, message } from "../part/key.js";
import { asksForRepeat } from "../part/doubt.js";
import { older } from "../part/older.js";
import { problem } from "../part/problem.js";
import { repeatNote, takeUpRepeat } from "../part/repeats.js";
import { resultView } from "../part/result.js";
import { activate, kitInUse, leave, newBench, rows, standLeft } from "../round/bench.js";
import { contextOf, fetchContext } from "../round/context.js";
import { askTwoPoints, draftOf, dropDraft, fieldOf, finished, keep } from "../round/draft.js";
import { judge } from "../round/engine.js";
import { plannedFields } from "../round/fields.js";
import { wireRound } from "../round/wire.js";

const state = { pool: "", bench: null, saved: null, saving: false, error: null };
const RETEST = ["wait", "retest-first", "addition-unknown"];
const RETEST_POINTS = ["point.shallow", "point.deep"];
let ticking = 0;

export const kind = "bench-page";
export const title = () => (state.pool ? say("test.title", { pool: poolName(state.pool) }) : say("page.test"));

export const settle = () => showActive(false);

export async function enter(query) {
  const pool = query.get("pool") ?? "";
  Object.assign(state, { pool, bench: null, saved: null, saving: false, error: null });
  clearInterval(ticking);
  closeGuide();
  if (!pool) return;
  try {
    [here.now] = await Promise.all([get("/now"), fetchContext(pool)]);
  } catch (error) {
    state.error = error;
  }
  begin();
  ticking = setInterval(() => tick(), 1000);
}

function begin() {
  const context = contextOf(state.pool);
  if (context === null) return;
  const draft = draftOf(state.pool);
  if (draft.kit === null && context.kits.length < 2) draft.kit = context.kits[0]?.kit ?? "";
  if (!draft.point && context.point) draft.point = context.point;
  if (isRetest()) askTwoPoints(draft, context.pool.points.length > 1 ? context.pool.points : RETEST_POINTS.map((id) => say(id)));
  takeUpRepeat(draft, laneOf());
  state.bench = newBench(draft, context, readEarly);
  const empty = rows(state.bench).find((one) => !fieldOf(draft, one.parameter, one.point)?.value);
  // With several kits the one in use is said first: it places the point.
  if (empty && draft.kit !== null) activate(state.bench, empty);
}

function laneOf() {
  return here.now?.pools.find((one) => one.pool === state.pool);
}

/** What was added and waits for its retest, in this pool or on its filter. */
function resting() {
  const row = laneOf();
  const found = (row?.open_actions ?? []).filter((one) => RETEST.includes(one.id));
  return found.map((one) => actionSentence(one, row));
}

function isRetest() {
  return resting().length > 0;
}

/** While a stand runs the clock is drawn every second; elsewhere nothing moves. */
function tick() {
  const running = Object.keys(state.bench?.draft.tablet ?? {}).some((point) => {
    const left = standLeft(state.bench, point);
    return left !== null && left > -2;
  });
  if (running && location.pathname === "/test") redraw();
}

/** A total read before its stand is over is kept, and said so. */
function readEarly({ parameter, point }) {
  const left = standLeft(state.bench, point);
  if (parameter !== "total_chlorine" || left === null) return;
  const { draft } = state.bench;
  const whole = kitInUse(state.bench).total_stand_s;
  draft.early = { ...draft.early };
  delete draft.early[point];
  if (left > 0) draft.early[point] = say("test.early", { at: countdown(whole - left), whole: countdown(whole) });
  keep(draft);
}

export function tree() {
  if (!state.pool) return whichPool();
  if (state.saved) return afterRound(state.saved, state.pool, () => go(state.pool));
  if (state.bench === null) {
    return [h("h1", {}, poolName(state.pool)), problem(state.error) ?? message(say("frame.waiting"))];
  }
  return h(
    "div",
    {
      class: "test",
      "data-key": `test ${state.bench.draft.id}`,
      onkeydown: (event) => typed(state.bench, event),
    },
    h("h1", { class: "pool-name" }, poolName(state.pool)),
    guideView(state.bench) ?? benchAndSide(),
  );
}

function benchAndSide() {
  return [
    resting().map((text) => h("p", { class: "people", role: "note", "data-key": text }, text)),
    older(state.pool, begin),
    repeatNote(state.bench.draft, laneOf()),
    guideKey(state.bench),
    benchView(state.bench),
    h(
      "div",
      { class: "side", "data-key": "side" },
      pad(state.bench),
      outcome(),
      problem(state.error),
      asksForRepeat(state.bench) === null && saving(),
      extras(state.bench),
    ),
  ];
}

function go(pool) {
  enter(new URLSearchParams({ pool })).then(redraw);
}

function whichPool() {
  return h(
    "div",
    { "data-key": "which" },
    h("h1", {}, say("test.which")),
    pools().length === 0 && h("p", { class: "large" }, say("now.no-pools")),
    h(
      "div",
      { class: "keys keys-wide" },
      pools().map((one) => keyLink(one.name, `/test?pool=${one.pool}`, { "data-key": one.pool })),
    ),
  );
}

/** How much is in, and the result once everything planned is; house stops never wait. */
function outcome() {
  const { draft, context } = state.bench;
  const planned = plannedFields(context.pool.facts);
  const missing = draft.retest && rows(state.bench).some((one) => !fieldOf(draft, one.parameter, one.point)?.value);
  const isIn = (name) => fieldOf(draft, name)?.value || fieldOf(draft, name, "")?.value;
  const count = planned.filter(isIn).length;
  const answer = finished(draft).length ? judge(context, draft, Date.now()) : null;
  const whole = count === planned.length && !missing;
  if (whole && !draft.shown) {
    draft.shown = true;
    keep(draft);
  }
  return h(
    "section",
    { class: "outcome", "aria-live": "polite", "data-key": "outcome" },
    h("p", { class: "count" }, say("test.in", { count, of: planned.length })),
    early(draft),
    draft.swapRefused && h("p", { class: "people" }, say("pair.swap-refused")),
    answer && resultView(answer, state.bench, { whole, pool: state.pool, onKeep: save }),
  );
}

function saving() {
  const { draft } = state.bench;
  const name = poolName(state.pool);
  const nobody = !here.me?.person;
  const untimed = draft.source !== "direct" && !draft.taken;
  return h(
    "div",
    { class: "save", "data-key": "save" },
    nobody && h("p", {}, say(here.unlisted ? "save.unlisted" : "save.nobody")),
    draft.changed.length > 0 && h("p", { class: "small" }, say("save.changed")),
    untimed && h("p", {}, say("save.untimed")),
    key(say(nobody ? "save.key-unverified" : "save.key", { name }), save, {
      kind: "main",
      disabled: state.saving || untimed || finished(draft).length === 0,
      "data-key": "save",
    }),
  );
}

async function save() {
  leave(state.bench);
  Object.assign(state, { saving: true, error: null });
  redraw();
  const { draft, context } = state.bench;
  try {
    state.saved = await post("/rounds", wireRound(draft, context));
    state.saved.draft = draft;
    dropDraft(state.pool);
    scrollTo(0, 0);
    await refresh();
  } catch (error) {
    state.error = error;
  }
  state.saving = false;
  redraw();
}
