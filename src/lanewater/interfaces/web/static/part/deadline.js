/** What the rules want by when: the rule and the time stand here; whether to notify a person decides. */

import { h } from "../ground/dom.js";
import { redraw } from "../ground/store.js";
import { when } from "../ground/time.js";
import { say } from "../ground/words.js";
import { deadlineMet, notified } from "../offline/closures.js";
import { key } from "./key.js";
import { problem } from "./problem.js";

const state = { id: "", authority: "", error: null };

/** "By 24 Nov 09:00: tell the authority (reg. 21)." @param {any} one */
export function deadlineWords(one) {
  const values = { at: one.due_at ? when(one.due_at) : "", words: one.words, clause: one.clause, met: one.met_at ? when(one.met_at) : "" };
  return say(`deadline.${one.due_at === null && one.state === "due" ? "no-time" : one.state}`, values);
}

/** Those that nobody has met yet. @param {any} row of the Now page @param {() => Promise<void>} after */
export function deadlineList(row, after) {
  const open = row.deadlines.filter((one) => one.state !== "met");
  if (open.length === 0) return null;
  return h(
    "ul",
    { class: "actions", "data-key": "deadlines" },
    open.map((one) => item(row, one, after)),
  );
}

function item(row, one, after) {
  const id = `${one.about} ${one.id}`;
  const chosen = state.id === id;
  return h(
    "li",
    { "data-key": id },
    h("span", {}, deadlineWords(one)),
    one.state !== "waits" &&
      key(say("deadline.done"), () => (one.to === "authority" ? choose(chosen ? "" : id) : meet(one, after)), {
        kind: "small",
        "data-key": "done",
        "aria-label": say("deadline.done-this", one),
      }),
    chosen && whom(one, after),
    chosen && problem(state.error),
  );
}

function choose(id) {
  Object.assign(state, { id, authority: "", error: null });
  redraw();
}

function whom(one, after) {
  const oninput = (event) => {
    state.authority = event.target.value.trim();
    redraw();
  };
  return h(
    "div",
    { class: "panel" },
    h("label", {}, say("closure.notify.whom"), h("input", { maxlength: 200, autocomplete: "off", oninput })),
    state.authority && key(say("closure.notify.key"), () => meet(one, after), { kind: "main", "data-key": "notified" }),
  );
}

async function meet(one, after) {
  try {
    const { authority } = state;
    await (one.to === "authority"
      ? notified(one.pool, one.about, { authority, deadline: one.id })
      : deadlineMet(one.pool, one.about, one.id));
    choose("");
    await after();
  } catch (error) {
    state.error = error;
    redraw();
  }
}
