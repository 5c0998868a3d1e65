/** Our own keypad: big keys, no system keyboard. The same keys work on a real keyboard. */

import { h } from "../ground/dom.js";
import { decimalMark } from "../ground/locale.js";
import { say } from "../ground/words.js";

const ROWS = [
  ["1", "2", "3"],
  ["4", "5", "6"],
  ["7", "8", "9"],
  [".", "0", "delete"],
];

const ALOUD = { ".": "key.point", delete: "key.delete.aloud" };

/**
 * @param {(key: string) => void} onKey "0" to "9", ".", "delete" or the id of an extra key
 * @param {{id: string, text: string, off?: boolean, main?: boolean, pressed?: boolean}[]} extras the column beside the digits
 * @param {{point?: boolean, label: string}} options
 */
export function keypad(onKey, extras, { point = true, label }) {
  const digits = ROWS.flat().map((id) =>
    id === "." && !point ? h("span", { "data-key": "gap" }) : padKey(id, face(id), onKey),
  );
  return h(
    "div",
    { class: "keypad", role: "group", "aria-label": label, "data-key": "keypad" },
    h("div", { class: "digits" }, digits),
    extras.length > 0 &&
      h(
        "div",
        { class: "extras" },
        extras.map((one) => padKey(one.id, one.text, onKey, one)),
      ),
  );
}

function face(id) {
  if (id === ".") return decimalMark();
  return id === "delete" ? say("key.delete") : id;
}

function padKey(id, text, onKey, { off = false, main = false, pressed = null } = {}) {
  const kind = /^\d$/.test(id) ? "digit" : main ? "main" : "plain";
  return h(
    "button",
    {
      type: "button",
      class: `key pad-${kind}`,
      "data-key": id,
      "aria-label": ALOUD[id] ? say(ALOUD[id]) : null,
      disabled: off,
      "aria-pressed": pressed,
      onclick: () => onKey(id),
    },
    text,
  );
}

/** The key of the keypad that a key of a real keyboard stands for, or "". @param {KeyboardEvent} event */
export function typedKey(event) {
  if (event.ctrlKey || event.metaKey || event.altKey) return "";
  if (/^\d$/.test(event.key)) return event.key;
  if (event.key === "." || event.key === ",") return ".";
  if (event.key === "Backspace" || event.key === "Delete") return "delete";
  return event.key === ">" ? "over" : "";
}
