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

/**
 * Whom to call about opening: those who may open, with their numbers, and the managers of the phone list.
 * @returns {{person: string, name: string, phone: string}[]}
 */
export function whoToCall() {
  const own = here.me?.person ?? "";
  const opens = here.people.filter((one) => one.may?.open === "yes" && one.id !== own);
  const numbers = new Map((here.now?.tell ?? []).map((one) => [one.id, one.phone]));
  const managers = contactsInOrder().filter((one) => one.kind === "manager");
  const listed = opens.map((one) => ({
    person: one.id,
    name: one.name,
    phone: numbers.get(one.id) || one.phone || managers.find((row) => row.name.includes(one.name))?.phone || "",
  }));
  const others = managers.filter((row) => !listed.some((one) => one.phone === row.phone));
  return [...listed, ...others.map(({ name, phone: number }) => ({ person: "", name, phone: number }))];
}

/** A card to hold while calling: names and numbers, and what to say. @param {any[]} known @param {string[]} texts */
export function callCard(known, texts) {
  return [
    h(
      "ul",
      { class: "call-list" },
      known.map((one) => h("li", { "data-key": `${one.person}${one.name}` }, h("span", {}, one.name), one.phone && phone(one.phone))),
    ),
    texts.length > 0 &&
      h(
        "details",
        { class: "call-card" },
        h("summary", { class: "key key-small" }, say("call.say")),
        texts.map((text) => h("p", { class: "say" }, `“${text}”`)),
      ),
  ];
}

/** Those who decide about opening: on the phone list with a number, and on the list of people. */
export function deciders() {
  const managers = contactsInOrder().filter((one) => one.kind === "manager");
  const people = here.people.filter((one) => one.roles.some((role) => DECIDING.includes(role)));
  return [...managers, ...people.filter((one) => !managers.some((row) => row.name.includes(one.name)))];
}
