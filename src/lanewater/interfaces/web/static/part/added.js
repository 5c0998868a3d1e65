/** An amount that was shown is an open question until somebody says what came of it. */

import { h } from "../ground/dom.js";
import { here, redraw } from "../ground/store.js";
import { clock } from "../ground/time.js";
import { dosesInUs } from "../ground/unit.js";
import { say } from "../ground/words.js";
import { startAddition } from "../offline/advising.js";
import { answerAddition } from "../offline/local.js";
import { usMeasure } from "../round/engine.js";
import { key } from "./key.js";
import { problem } from "./problem.js";

let state = { advice: "", addition: "", amount: "", by: "", done: "", at: 0, error: null };

/** Whether it was said what came of this advice: from then on its amount is shown no more. */
export function isAnswered(advice) {
  return state.advice === advice.advice && state.done !== "";
}

/** Whether somebody said that they are adding it now. */
export function isRunning(advice) {
  return state.advice === advice.advice && state.addition !== "";
}

/** What came of it, in place of the amount; only where nothing was added may it be asked again. */
export function answered(again) {
  const { amount, at, by, done } = state;
  const words = say(`added.done.${done}`, { amount: amount ? ` ${amount}` : "", at: clock(at), by });
  return [
    h("p", { class: "large saved", role: "status", "data-key": "answered" }, words),
    done === "not-added" && key(say("advice.ask-again"), again, { "data-key": "anew" }),
  ];
}

/** @param {any} advice the server's, with its line's id @param {string} pool */
export function added(advice, pool) {
  if (state.advice !== advice.advice) {
    state = { advice: advice.advice, addition: "", amount: "", by: "", done: "", at: 0, error: null };
  }
  return h(
    "div",
    { class: "added", "data-key": "added" },
    problem(state.error),
    state.addition
      ? h("p", { role: "status" }, say("add.running"))
      : key(say("add.now"), () => begin(pool, advice), { kind: "main", "data-key": "start" }),
    state.addition && amountField(advice),
    h(
      "div",
      { class: "keys" },
      ["added", "not-added", "unknown"].map((told) =>
        key(say(`added.${told}`), () => tell(told, advice, pool), { "data-key": told }),
      ),
    ),
  );
}

/** The amount as it is measured out here. */
function measured(advice) {
  if (!dosesInUs()) return { amount: advice.amount, unit: advice.unit };
  return usMeasure(advice.amount, advice.unit);
}

function amountField(advice) {
  const { amount, unit } = measured(advice);
  return h(
    "label",
    {},
    say("added.amount", { amount, unit: say(`unit.${unit}`) }),
    h("input", {
      inputmode: "decimal",
      autocomplete: "off",
      onchange: (event) => {
        state.amount = event.target.value.trim().replace(",", ".");
      },
    }),
  );
}

async function begin(pool, advice) {
  try {
    state.addition = (await startAddition(pool, advice)).addition;
    state.error = null;
  } catch (error) {
    state.error = error;
  }
  redraw();
}

/** What of an advice stands in the answer to it. */
function advised(advice, pool) {
  const { product, amount, unit, wait_minutes: wait, scope, circuit } = advice.body ?? {};
  const waits = wait ?? Math.ceil(advice.wait_s / 60);
  const known = { product: product ?? advice.product, amount: amount ?? advice.amount, unit: unit ?? advice.unit };
  return { pool, ...known, wait_minutes: waits, ...(scope && { scope }), ...(circuit && { circuit }) };
}

async function tell(told, advice, pool) {
  const { unit } = measured(advice);
  const about = state.addition ? { addition: state.addition } : { advice: state.advice };
  const amount = told === "added" && state.amount ? { amount: state.amount, unit } : {};
  try {
    await answerAddition({ ...about, body: advised(advice, pool) }, told, amount);
    const said = told === "added" ? `${state.amount || measured(advice).amount} ${say(`unit.${unit}`)}` : "";
    Object.assign(state, { done: told, amount: said, by: here.me?.initials ?? "", at: Date.now(), error: null });
  } catch (error) {
    state.error = error;
  }
  redraw();
}
