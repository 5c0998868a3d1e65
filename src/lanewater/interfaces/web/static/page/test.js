/** Test: at the bench, one pool. Order free; judged when a field is finished; saved by name. */

import { h } from "../ground/dom.js";
import { here, poolName, pools, redraw } from "../ground/store.js";
import { countdown } from "../ground/time.js";
import { listed, say } from "../ground/words.js";
import { draftsHeld } from "../offline/drafts.js";
import { incidentsOf, readsPoints } from "../offline/incidents.js";
import { recordRound } from "../offline/local.js";
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
import { sourceKeys, sourcePart } from "../part/source.js";
import { activate, finishLeft, kitInUse, leave, newBench, rows, standLeft } from "../round/bench.js";
import { contextOf, fetchContext } from "../round/context.js";
import { askTwoPoints, draftOf, dropDraft, fieldOf, finished, keep, lastTouched } from "../round/draft.js";
import { judge } from "../round/engine.js";
import { benchFields, plannedFields } from "../round/fields.js";
import { keepKit, lastKit, standingKit } from "../round/standingkit.js";

const state = { pool: "", bench: null, saved: null, saving: false, error: null };
const RETEST = ["wait", "retest-first", "addition-unknown"];
const RETEST_POINTS = ["point.shallow", "point.deep"];
/** A round begun longer ago than this is another one. */
const FRESH_MS = 30 * 60_000;

export const kind = "bench-page";
export const title = () => (state.pool ? say("test.title", { pool: poolName(state.pool) }) : say("page.test"));

export const settle = () => showActive(false);

export async function enter(query) {
  const pool = query.get("pool") ?? (query.has("which") ? "" : onlyPool());
  Object.assign(state, { pool, bench: null, saved: null, saving: false, error: null });
  closeGuide();
  if (!pool) return;
  await Promise.all([fetchContext(pool), lastKit()]);
  begin();
}

/** Where there is one sensible answer it is not asked: the site's only pool, or the one that was begun. */
function onlyPool() {
  const all = pools().map((one) => one.pool);
  const begun = draftsHeld().filter((pool) => all.includes(pool) && Date.now() - lastTouched(draftOf(pool)) < FRESH_MS);
  return [all, begun].find((found) => found.length === 1)?.[0] ?? "";
}

function begin() {
  const context = contextOf(state.pool);
  if (context === null) return;
  const draft = draftOf(state.pool);
  draft.kit ??= standingKit(state.pool, context.kits);
  if (!draft.point && context.point) draft.point = context.point;
  if (isRetest() || inIncident()) askTwoPoints(draft, context.pool.points.length > 1 ? context.pool.points : RETEST_POINTS.map((id) => say(id)));
  takeUpRepeat(draft, laneOf());
  state.bench = newBench(draft, context, readEarly);
  finishLeft(state.bench, { parameter: "temperature_c", point: "" });
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

/** An incident's clock goes by the lowest of the points. */
function inIncident() {
  return incidentsOf(state.pool).some((one) => readsPoints(one.kind));
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
    h(
      "div",
      { class: "keys bench-keys", "data-key": "bench-keys" },
      guideKey(state.bench),
      pools().length > 1 && keyLink(say("test.other"), "/test?which", { kind: "small" }),
      keyLink(say("sample.key"), `/sample?pool=${state.pool}`, { kind: "small", "aria-label": say("sample.key-pool", { name: poolName(state.pool) }) }),
      sourceKeys(state.bench),
    ),
    sourcePart(state.bench),
    benchView(state.bench),
    h(
      "div",
      { class: "side", "data-key": "side" },
      // While it is asked when it was taken, the question has the whole screen.
      !untimed() && pad(state.bench),
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
  const count = planned.length - stillOut().length;
  const answer = finished(draft).length ? judge(context, draft, Date.now()) : null;
  const whole = isWhole();
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

function untimed() {
  const { source, taken } = state.bench.draft;
  return source !== "direct" && !taken;
}

/** What is planned and not in yet. */
function stillOut() {
  const { draft, context } = state.bench;
  const isIn = (name) => fieldOf(draft, name)?.value || fieldOf(draft, name, "")?.value;
  return plannedFields(context.pool.facts).filter((name) => !isIn(name));
}

/** Everything planned is in, at every point that was begun. */
function isWhole() {
  const { draft, context } = state.bench;
  const usual = benchFields(context.pool.facts);
  const asked = rows(state.bench).filter((one) => one.point !== draft.point && usual.includes(one.parameter));
  return stillOut().length === 0 && asked.every((one) => fieldOf(draft, one.parameter, one.point)?.value);
}

function saving() {
  const { draft } = state.bench;
  const name = poolName(state.pool);
  const nobody = !here.me?.person;
  const out = stillOut();
  return h(
    "div",
    { class: "save", "data-key": "save" },
    nobody && h("p", {}, say(here.unlisted ? "save.unlisted" : "save.nobody")),
    draft.changed.length > 0 && h("p", { class: "small" }, say("save.changed")),
    untimed() && h("p", {}, say("save.untimed")),
    out.length > 0 &&
      finished(draft).length > 0 &&
      h("p", { "data-key": "missing" }, say("save.missing", { names: listed(out.map((one) => say(`short.${one}`))) })),
    key(say(nobody ? "save.key-unverified" : "save.key", { name }), save, {
      kind: "main",
      disabled: state.saving || untimed() || finished(draft).length === 0,
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
    state.saved = { ...(await recordRound(draft, context, judge(context, draft, Date.now()))), draft };
    keepKit(state.pool, draft.kit);
    dropDraft(state.pool);
    scrollTo(0, 0);
  } catch (error) {
    state.error = error;
  }
  state.saving = false;
  redraw();
}
