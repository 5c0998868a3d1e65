/** Due today: one list in the order of time, for whoever is here, and what happened in between. */

import { h } from "../ground/dom.js";
import { here, pools, redraw } from "../ground/store.js";
import { say } from "../ground/words.js";
import { dueList, EVENTS, noteEvent } from "../offline/duties.js";
import { hasView, heed } from "../offline/view.js";
import { dueRow, forgetOpen } from "../part/duerow.js";
import { choice, key, message } from "../part/key.js";
import { problem } from "../part/problem.js";

const FRESH_MS = 15_000;
let timer = 0;

const state = { what: "", kept: "", error: null };

export const title = () => say("page.due");

export function enter() {
  clearInterval(timer);
  timer = setInterval(() => location.pathname === "/due" && load(), FRESH_MS);
  Object.assign(state, { what: "", kept: "", error: null });
  forgetOpen();
  load();
}

async function load() {
  await heed();
  redraw();
}

export function tree() {
  if (!hasView()) return message(say(here.away ? "warn.away" : "frame.waiting"));
  const found = dueList();
  return h(
    "div",
    { class: "due-page", "data-key": "due" },
    h("h1", {}, say("page.due")),
    state.kept && h("p", { class: "saved", role: "status" }, say("due.kept", { what: state.kept })),
    problem(state.error),
    found.mine.length === 0 ? h("p", { class: "large" }, say("due.none")) : rows(found.mine, "mine"),
    fold("due.others", found.others),
    fold("due.later", found.later),
    happened(),
  );
}

function rows(list, part) {
  return h(
    "ol",
    { class: "due due-long", "data-key": part },
    list.map((row) => dueRow(row, keep)),
  );
}

function fold(words, list) {
  if (list.length === 0) return null;
  return h(
    "details",
    { "data-key": words },
    h("summary", { class: "key key-small" }, `${say(words)} (${list.length})`),
    rows(list, words),
  );
}

/** Two taps: what, then where. */
function happened() {
  return h(
    "section",
    { "data-key": "happened" },
    h("h2", {}, say("noted.title")),
    state.what === ""
      ? h(
          "div",
          { class: "keys" },
          EVENTS.map((what) => key(say(`noted.${what}`), () => ask(what), { "data-key": what })),
        )
      : [where(), key(say("site.cancel"), () => ask(""), { "data-key": "cancel" })],
  );
}

function where() {
  const places = [...pools().map((one) => [one.pool, one.name]), ["", say("noted.everywhere")]];
  const legend = say("noted.where", { what: say(`noted.${state.what}`) });
  const note = (pool) => keep(say(`noted.${state.what}`), () => noteEvent(state.what, pool));
  return choice(legend, places, null, note, { name: "where" });
}

function ask(what) {
  Object.assign(state, { what, kept: "", error: null });
  redraw();
}

/** Keep something, and say so. @param {string} what @param {() => Promise<any>} send */
async function keep(what, send) {
  try {
    await send();
    Object.assign(state, { what: "", kept: what, error: null });
  } catch (error) {
    state.error = error;
  }
  redraw();
}
