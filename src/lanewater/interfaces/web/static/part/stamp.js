/** The record's stamp: to be photographed or copied, and an older one held against the record. */

import { get, post } from "../ground/api.js";
import { h, svg } from "../ground/dom.js";
import { redraw } from "../ground/store.js";
import { say } from "../ground/words.js";
import { key } from "./key.js";
import { problem } from "./problem.js";

/** Light squares around the code, without which no camera finds it. */
const QUIET = 4;

const state = { told: null, older: "", outcome: null, error: null };

/** Forget what was shown, as when somebody else signs in. */
export function dropStamp() {
  Object.assign(state, { told: null, older: "", outcome: null, error: null });
}

async function run(work) {
  try {
    state.error = null;
    await work();
  } catch (error) {
    state.error = error;
  }
  redraw();
}

/** @returns {HTMLElement} */
export function stampPart() {
  const unfold = (event) => {
    if (event.currentTarget.parentElement.open || state.told) return;
    run(async () => {
      state.told = await get("/record/stamp");
    });
  };
  return h(
    "details",
    { class: "fold", "data-key": "stamp" },
    h("summary", { onclick: unfold }, say("stamp.title")),
    h("p", {}, say("stamp.what")),
    problem(state.error),
    state.told && shown(state.told),
    compared(),
  );
}

function shown(told) {
  return h(
    "div",
    { class: "stamp", "data-key": "shown" },
    h("p", {}, say("stamp.covers", { lines: told.lines })),
    code(told.squares),
    h("pre", { class: "stamp-text", tabindex: 0, "aria-label": say("stamp.text") }, told.stamp),
  );
}

/** Draw the squares of a QR code as one path. @param {string[]} rows @returns {SVGElement} */
function code(rows) {
  const dark = rows
    .map((row, y) =>
      [...row].map((one, x) => (one === "1" ? `M${x + QUIET} ${y + QUIET}h1v1h-1z` : "")).join(""),
    )
    .join("");
  const side = rows.length + 2 * QUIET;
  return svg(
    "svg",
    { class: "stamp-code", viewBox: `0 0 ${side} ${side}`, role: "img", "aria-label": say("stamp.code") },
    svg("rect", { class: "stamp-paper", width: side, height: side }),
    svg("path", { class: "stamp-ink", d: dark }),
  );
}

function compared() {
  const hold = () =>
    run(async () => {
      state.outcome = null;
      state.outcome = await post("/record/compare", { stamp: `${state.older.trim()}\n` });
    });
  return h(
    "div",
    { "data-key": "compare" },
    h(
      "label",
      {},
      say("stamp.older"),
      h("textarea", {
        rows: 6,
        maxlength: 4000,
        spellcheck: "false",
        autocomplete: "off",
        oninput: (event) => {
          state.older = event.target.value;
          state.outcome = null;
          redraw();
        },
      }),
    ),
    key(say("stamp.compare"), hold, { disabled: state.older.trim() === "" }),
    state.outcome &&
      h(
        "p",
        { class: state.outcome.outcome === "goes-on" ? "message" : "message message-alert", role: "status" },
        say(`stamp.${state.outcome.outcome}`, { size: state.outcome.size, lines: state.outcome.lines }),
      ),
  );
}
