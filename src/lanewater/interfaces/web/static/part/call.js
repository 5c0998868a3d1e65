/** Whom to call: emergency numbers first, then the site's own list. */

import { h } from "../ground/dom.js";
import { here } from "../ground/store.js";
import { say } from "../ground/words.js";
import { phone } from "./key.js";

const DECIDING = ["duty-manager", "area-manager"];
const ORDER = ["emergency", "manager", "contractor", "authority", "supplier", "other"];

/** @returns {any[]} */
export function contactsInOrder() {
  const known = here.site?.contacts ?? [];
  return [...known].sort((one, other) => ORDER.indexOf(one.kind) - ORDER.indexOf(other.kind));
}

export function callList() {
  const known = contactsInOrder();
  if (known.length === 0) return h("p", {}, say("call.none"));
  return h(
    "ul",
    { class: "call-list" },
    known.map((one) =>
      h(
        "li",
        { "data-key": one.id ?? one.contact },
        h("span", {}, `${one.name} `, h("small", {}, say(`contact.${one.kind}`))),
        phone(one.phone),
        one.note && h("small", {}, one.note),
      ),
    ),
  );
}

/** Those who decide about opening: on the phone list with a number, and on the list of people. */
export function deciders() {
  const managers = contactsInOrder().filter((one) => one.kind === "manager");
  const people = here.people.filter((one) => one.roles.some((role) => DECIDING.includes(role)));
  return [...managers, ...people.filter((one) => !managers.some((row) => row.name.includes(one.name)))];
}
