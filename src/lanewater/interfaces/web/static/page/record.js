/** Record: every line, newest first, with corrections beside what they correct. */

import { get } from "../ground/api.js";
import { h } from "../ground/dom.js";
import { here, pools, redraw } from "../ground/store.js";
import { fromLocal, isoDay, stamp } from "../ground/time.js";
import { say } from "../ground/words.js";
import { onChange, sending } from "../offline/sync.js";
import { ownLines, recentLines, withOwnCorrections } from "../offline/view.js";
import { correction, stopCorrecting } from "../part/correction.js";
import { dropEveryPack, everyPackPart } from "../part/everypack.js";
import { key } from "../part/key.js";
import { lineView } from "../part/line.js";
import { dropLinks, linksPart } from "../part/links.js";
import { problem } from "../part/problem.js";
import { dropStamp, stampPart } from "../part/stamp.js";

const MOST = 300;
/** Judgements and devices are on record too; people look for what people did. */
const QUIET = ["round-judged", "device-enrolled", "log-key-named"];

const state = { pool: "", day: "", all: false, lines: null, away: false, error: null };

export const title = () => say("page.record");

let waited = sending.waiting;

/** What was sent meanwhile stands on the record now: read it again. */
onChange(() => {
  if (sending.waiting === waited) return;
  waited = sending.waiting;
  if (location.pathname === "/record" && state.lines !== null) load();
});

export async function enter(query) {
  stopCorrecting();
  dropStamp();
  dropLinks();
  dropEveryPack();
  state.pool = query.get("pool") ?? state.pool;
  state.day = state.day || isoDay(Date.now());
  await load();
}

async function load() {
  const from = fromLocal(state.day, "00:00");
  const to = fromLocal(isoDay(from + 30 * 3600_000), "00:00");
  const wanted = { pool: state.pool, from, to };
  try {
    const found = here.away ? null : await get("/record", { pool: state.pool, limit: MOST, from: stamp(from), to: stamp(to) });
    state.lines = found === null ? recentLines(wanted) : withOwn(found, wanted);
    state.away = found === null;
    state.error = null;
  } catch (error) {
    const unheard = error.id === "unreachable";
    Object.assign(state, { away: unheard, error: unheard ? null : error });
    if (unheard) state.lines = recentLines(wanted);
  }
  redraw();
}

/** The record's lines, and those of this device that are not on it yet. */
function withOwn(found, wanted) {
  const known = new Set(found.map((line) => line.id));
  const own = ownLines(wanted).filter((line) => !known.has(line.id) && line.here !== "recorded");
  const all = [...found, ...own].sort((one, other) => (one.at < other.at ? -1 : 1));
  return withOwnCorrections(all);
}

export function tree() {
  const lines = (state.lines ?? []).filter((one) => state.all || !QUIET.includes(one.type)).reverse();
  return h(
    "div",
    { "data-key": "record" },
    h("h1", {}, say("record.title")),
    h("p", { class: "quiet" }, say("record.what")),
    here.unwitnessed && h("p", { class: "small" }, say("witness.cannot")),
    filter(),
    problem(state.error),
    state.away && h("p", { class: "people", "data-key": "away" }, say("record.away")),
    state.lines !== null && lines.length === 0 && h("p", { class: "large" }, say(state.away ? "record.away.older" : "record.none")),
    h(
      "ol",
      { class: "lines" },
      lines.map((line) => [
        lineView(line, state.lines),
        correction(line, load),
        underEveryPack(line),
      ]),
    ),
    here.me?.person && stampPart(),
    here.me?.may_set_up && linksPart(),
  );
}

/** In a list, what is no line of the record is an item of its own as well. */
function underEveryPack(line) {
  const part = everyPackPart(line);
  return part && h("li", { class: "line-more" }, part);
}

function filter() {
  const set = (change) => {
    Object.assign(state, change);
    stopCorrecting();
    load();
  };
  const step = (days) => set({ day: isoDay(fromLocal(state.day, "12:00") + days * 24 * 3600_000) });
  return h(
    "div",
    { class: "filter", "data-key": "filter" },
    h(
      "label",
      {},
      say("record.pool"),
      h(
        "select",
        { onchange: (event) => set({ pool: event.target.value }) },
        h("option", { value: "" }, say("record.all-pools")),
        pools().map((one) => h("option", { value: one.pool, selected: one.pool === state.pool }, one.name)),
      ),
    ),
    h(
      "label",
      {},
      say("record.day"),
      h("input", { type: "date", value: state.day, onchange: (event) => event.target.value && set({ day: event.target.value }) }),
    ),
    key(say("record.day-before"), () => step(-1), { "data-key": "before" }),
    key(say("record.day-after"), () => step(1), { "data-key": "after" }),
    h(
      "label",
      { class: "tick" },
      h("input", {
        type: "checkbox",
        onchange: (event) => {
          state.all = event.target.checked;
          redraw();
        },
      }),
      say("record.all"),
    ),
  );
}
