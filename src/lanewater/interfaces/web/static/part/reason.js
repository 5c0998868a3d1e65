/** A reason: one tap where a usual one fits, own words where none does. */

import { h } from "../ground/dom.js";
import { redraw } from "../ground/store.js";
import { say } from "../ground/words.js";
import { key } from "./key.js";

/** @param {{reason: string}} state @param {string[]} chips ids of usual reasons */
export function reasonField(state, chips) {
  const set = (text) => {
    state.reason = text;
    redraw();
  };
  return h(
    "fieldset",
    { class: "choice", "data-key": "reason" },
    h("legend", {}, say("reason.legend")),
    h(
      "div",
      { class: "keys" },
      chips.map((id) => {
        const text = say(`reason.${id}`);
        return key(text, () => set(text), {
          "aria-pressed": state.reason === text ? "true" : "false",
          "data-key": id,
        });
      }),
    ),
    h(
      "label",
      {},
      say("reason.own"),
      h("input", { maxlength: 300, autocomplete: "off", oninput: (event) => set(event.target.value.trim()) }),
    ),
  );
}
