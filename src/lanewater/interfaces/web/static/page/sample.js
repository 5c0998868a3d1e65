/** A laboratory's result: when the sample was taken, what was found, and the water at that time beside it. */

import * as kernel from "../generated/kernel.js";
import { h } from "../ground/dom.js";
import { uuid7 } from "../ground/id.js";
import { here, poolName, redraw } from "../ground/store.js";
import { fromLocal, isoDay, stamp, when } from "../ground/time.js";
import { unitOf } from "../ground/unit.js";
import { say } from "../ground/words.js";
import { recordSample } from "../offline/samples.js";
import { hasView, now as nowHere, recentLines } from "../offline/view.js";
import { rulesAsk } from "../part/after.js";
import { key, keyLink, message } from "../part/key.js";
import { problem } from "../part/problem.js";
import { rowList } from "../part/result.js";
import { overallShown, readingWords } from "../part/sentence.js";
import { isPool, whichPool } from "../part/whichpool.js";

/** What a laboratory reports, in the order of most reports. */
export const FOUND = [...kernel.OF_THE_LABORATORY, "nitrate", "oxidisability", "turbidity_ntu"];
const BESIDE_MS = 12 * 3600_000;

const fresh = () => ({ pool: "", id: "", day: "", time: "", values: {}, note: "", saved: null, error: null, busy: false });
let state = fresh();

export const title = () => (isPool(state.pool) ? say("sample.title", { pool: poolName(state.pool) }) : say("sample.key"));

export function enter(query) {
  // When it was taken stands on the report; today's date would be the wrong one, and nobody would see it.
  state = { ...fresh(), pool: query.get("pool") ?? "", id: uuid7(Date.now()) };
  if (hasView()) here.now = nowHere();
}

export function tree() {
  if (here.now !== null && !isPool(state.pool)) return whichPool(title(), "/sample");
  if (!here.now?.pools.some((one) => one.pool === state.pool)) return message(say("frame.waiting"));
  return h(
    "div",
    { "data-key": `sample ${state.id}` },
    h("h1", {}, title()),
    h("p", { class: "quiet" }, say("sample.what")),
    state.saved ? saved() : form(),
  );
}

function saved() {
  const { verdict } = state.saved;
  const overall = verdict ? overallShown(verdict) : "not-judged";
  return [
    h("p", { class: "large saved", role: "status" }, say("sample.saved", { outcome: say(`outcome.${overall}`) })),
    verdict && [rowList(verdict), rulesAsk(verdict)],
    keyLink(say("page.now"), "/"),
  ];
}

const isTimed = () => state.day !== "" && state.time !== "";

function takenAt() {
  return fromLocal(state.day, state.time);
}

function form() {
  const given = FOUND.filter((one) => (state.values[one] ?? "") !== "");
  const ahead = isTimed() && takenAt() > Date.now() + 60_000;
  return h(
    "div",
    { class: "panel form" },
    typed("day", say("sample.day"), { type: "date", max: isoDay(Date.now()) }),
    typed("time", say("sample.time"), { type: "time" }),
    ahead && message(say("sample.ahead"), "alert"),
    isTimed() && beside(),
    h("p", { class: "small" }, say("sample.none-found")),
    FOUND.map(value),
    typed("note", say("sample.note"), { maxlength: 300, autocomplete: "off" }),
    problem(state.error),
    given.length > 0 && !isTimed() && h("p", { "data-key": "when" }, say("sample.when")),
    given.length > 0 &&
      isTimed() &&
      !ahead &&
      key(say("sample.save", { pool: poolName(state.pool) }), save, { kind: "main", disabled: state.busy, "data-key": "save" }),
  );
}

function typed(name, words, more) {
  const oninput = (event) => {
    state[name] = event.target.value.trim();
    redraw();
  };
  return h("label", { "data-key": name }, words, h("input", { value: state[name], oninput, ...more }));
}

function value(parameter) {
  const oninput = (event) => {
    state.values[parameter] = event.target.value.trim();
    redraw();
  };
  const unit = unitOf(parameter);
  const name = say(`short.${parameter}`);
  return h(
    "label",
    { "data-key": parameter },
    unit ? say("sample.value", { name, unit }) : name,
    h("input", { inputmode: "text", maxlength: 14, autocomplete: "off", oninput }),
  );
}

/** The round nearest to the time of sampling: what the laboratory found is read beside it. */
function beside() {
  const at = takenAt();
  const rounds = recentLines({ pool: state.pool, from: at - BESIDE_MS, to: at + BESIDE_MS }).filter(
    (line) => line.type === "round-recorded" && (line.body.purpose ?? "round") === "round",
  );
  if (rounds.length === 0) return h("p", { class: "small" }, say("sample.beside.none"));
  const away = (line) => Math.abs(Date.parse(line.at) - at);
  const nearest = rounds.reduce((one, other) => (away(other) < away(one) ? other : one));
  const readings = nearest.readings.map((one) => readingWords(one)).join(" · ");
  return h("p", { class: "small", "data-key": "beside" }, say("sample.beside", { at: when(nearest.at), readings }));
}

async function save() {
  // Of this form alone: somebody may be at the next one before the answer comes.
  const own = state;
  Object.assign(own, { busy: true, error: null });
  redraw();
  const readings = FOUND.filter((one) => (own.values[one] ?? "") !== "").map((parameter) => ({
    parameter,
    value: own.values[parameter].replace(",", "."),
  }));
  try {
    own.saved = await recordSample({ id: own.id, pool: own.pool, at: stamp(takenAt()), readings, note: own.note });
  } catch (error) {
    own.error = error;
  }
  own.busy = false;
  redraw();
}
