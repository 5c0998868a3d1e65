/** A PIN, typed on our keypad or a keyboard, shown as dots. */

import { h } from "../ground/dom.js";
import { redraw } from "../ground/store.js";
import { say } from "../ground/words.js";
import { key } from "./key.js";
import { keypad, typedKey } from "./keypad.js";

const LONGEST = 12;

/** @returns {{digits: string}} a PIN in the making */
export function newPin() {
  return { digits: "" };
}

/**
 * @param {{digits: string}} pin
 * @param {string} doing what the key under the pad says
 * @param {(digits: string) => void} onDone
 */
export function pinPad(pin, doing, onDone, { kind = "main" } = {}) {
  const take = (id) => {
    if (id === "delete") pin.digits = pin.digits.slice(0, -1);
    else if (/^\d$/.test(id) && pin.digits.length < LONGEST) pin.digits += id;
    redraw();
  };
  const done = () => {
    const digits = pin.digits;
    pin.digits = "";
    onDone(digits);
  };
  const onkeydown = (event) => {
    const id = typedKey(event);
    if (event.key === "Enter" && event.target.className === "dots") done();
    if (id === "" || id === ".") return;
    event.preventDefault();
    take(id);
  };
  return h(
    "div",
    { class: "pin", onkeydown, "data-key": "pin" },
    h(
      "div",
      {
        class: "dots",
        tabindex: 0,
        role: "textbox",
        "aria-label": say("pin.typed", { count: pin.digits.length }),
      },
      "●".repeat(pin.digits.length) || say("pin.none"),
    ),
    keypad(take, [], { point: false, label: say("pin.pad") }),
    key(doing, done, { kind, "data-key": "pin-done" }),
  );
}
