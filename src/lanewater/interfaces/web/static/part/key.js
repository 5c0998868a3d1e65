/** Keys to press, and the few plain pieces that pages are put together from. */

import { h } from "../ground/dom.js";
import { follow } from "../ground/router.js";

/**
 * @param {string} text
 * @param {() => void} onPress
 * @param {Record<string, any>} [more] attributes; `kind` is plain, main or stop
 */
export function key(text, onPress, { kind = "plain", ...more } = {}) {
  return h("button", { type: "button", class: `key key-${kind}`, onclick: onPress, ...more }, text);
}

/** A link that looks like a key. @param {string} text @param {string} href */
export function keyLink(text, href, { kind = "plain", ...more } = {}) {
  return h("a", { href, class: `key key-${kind}`, onclick: follow, ...more }, text);
}

/** One question with a few keys for answers; none is chosen before somebody does. */
export function choice(legend, options, chosen, onChoose, { name = legend } = {}) {
  return h(
    "fieldset",
    { class: "choice", "data-key": name },
    h("legend", {}, legend),
    h(
      "div",
      { class: "keys" },
      options.map(([value, text]) =>
        key(text, () => onChoose(value), {
          "aria-pressed": chosen === value ? "true" : "false",
          "data-key": value,
        }),
      ),
    ),
  );
}

/** A message that is read out when it appears. @param {string} text @param {"status"|"alert"} role */
export function message(text, role = "status") {
  return h("p", { class: `message message-${role}`, role }, text);
}

/** A phone number that can be called; words in its place are only shown. */
export function phone(number) {
  if (!/\d{2}/.test(number)) return h("span", { class: "phone" }, number);
  return h("a", { class: "phone", href: `tel:${number.replace(/[^+\d]/g, "")}` }, number);
}
