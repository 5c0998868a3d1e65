/** An amount that was shown is an open question until somebody says what came of it. */

import { post } from "../ground/api.js";
import { h } from "../ground/dom.js";
import { redraw } from "../ground/store.js";
import { clock } from "../ground/time.js";
import { say } from "../ground/words.js";
import { key } from "./key.js";
import { problem } from "./problem.js";

let state = { advice: "", addition: "", amount: "", done: "", at: 0, error: null };

/** @param {any} advice the server's, with its line's id @param {string} pool */
export function added(advice, pool) {
  if (state.advice !== advice.advice) {
    state = { advice: advice.advice, addition: "", amount: "", done: "", at: 0, error: null };
  }
  if (state.done) {
    const words = say(`added.done.${state.done}`, { at: clock(state.at) });
    return h("p", { class: "large saved", role: "status" }, words);
  }
  return h(
    "div",
    { class: "added", "data-key": "added" },
    problem(state.error),
    state.addition
      ? h("p", { role: "status" }, say("add.running"))
      : key(say("add.now"), () => begin(pool), { kind: "main", "data-key": "start" }),
    state.addition && amountField(advice),
    h(
      "div",
      { class: "keys" },
      ["added", "not-added", "unknown"].map((told) =>
        key(say(`added.${told}`), () => tell(told, advice), { "data-key": told }),
      ),
    ),
  );
}

function amountField(advice) {
  return h(
    "label",
    {},
    say("added.amount", { amount: advice.amount, unit: advice.unit }),
    h("input", {
      inputmode: "decimal",
      autocomplete: "off",
      onchange: (event) => {
        state.amount = event.target.value.trim().replace(",", ".");
      },
    }),
  );
}

async function begin(pool) {
  try {
    state.addition = (await post("/additions/start", { pool, advice: state.advice })).addition;
    state.error = null;
  } catch (error) {
    state.error = error;
  }
  redraw();
}

async function tell(told, { unit }) {
  const about = state.addition ? { addition: state.addition } : { advice: state.advice };
  const amount = told === "added" && state.amount ? { amount: state.amount, unit } : {};
  try {
    await post("/additions/answer", { ...about, answer: told, ...amount });
    Object.assign(state, { done: told, at: Date.now(), error: null });
  } catch (error) {
    state.error = error;
  }
  redraw();
}
