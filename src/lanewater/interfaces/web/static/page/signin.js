/** Enrol this browser with a first key, then: who are you? Everyone out needs neither. */

import { h } from "../ground/dom.js";
import { go, place } from "../ground/router.js";
import { beUnlisted, enrol, signIn, signOut } from "../ground/session.js";
import { here, redraw } from "../ground/store.js";
import { say } from "../ground/words.js";
import { callList } from "../part/call.js";
import { problem } from "../part/problem.js";
import { key, message } from "../part/key.js";
import { newPin, pinPad } from "../part/pin.js";

/** Pages to which one comes back with the work in hand. */
const BACK = /^\/(test|look|incidents)(\?|$)/;

const state = { person: "", pin: newPin(), error: null, busy: false, key: "", back: "/" };

/** Go on after signing in, unless somebody has already gone elsewhere meanwhile. @param {string} address */
function leave(address) {
  if (place().path === "/sign-in") go(address);
}

export const kind = "narrow";
export const title = () => say(here.me?.enrolled ? "signin.title" : "enrol.title");

export function enter(query) {
  const back = query?.get("back") ?? "";
  Object.assign(state, { person: "", pin: newPin(), error: null, busy: false, back: BACK.test(back) ? back : "/" });
  const found = new URLSearchParams(location.hash.slice(1)).get("key");
  if (found) {
    state.key = found;
    // The key opens the site once; it does not stay in the address or the history.
    history.replaceState(null, "", location.pathname);
  }
}

export function tree() {
  if (here.me === null) return message(say("frame.waiting"));
  return here.me.enrolled ? whoAreYou() : enrolment();
}

async function attempt(action, then) {
  state.busy = true;
  state.error = null;
  redraw();
  try {
    await action();
    then();
  } catch (error) {
    state.error = error;
  }
  state.busy = false;
  redraw();
}

function enrolment() {
  const onsubmit = (event) => {
    event.preventDefault();
    const given = new FormData(event.currentTarget);
    attempt(
      () => enrol(String(given.get("key")).trim(), given.get("name"), given.get("kind")),
      () => go(here.people.length ? "/sign-in" : "/site"),
    );
  };
  return h(
    "form",
    { class: "sheet", onsubmit, "data-key": "enrol" },
    h("h1", {}, say("enrol.title")),
    h("p", {}, say("enrol.what")),
    problem(state.error),
    h("label", {}, say("enrol.key"), keyField()),
    h(
      "label",
      {},
      say("enrol.name"),
      h("input", { name: "name", required: true, maxlength: 120, autocomplete: "off" }),
      h("small", {}, say("enrol.name.hint")),
    ),
    h(
      "fieldset",
      { class: "choice" },
      h("legend", {}, say("enrol.kind")),
      ["shared", "office"].map((value) =>
        h(
          "label",
          { class: "tick" },
          h("input", { type: "radio", name: "kind", value, required: true }),
          say(`enrol.kind.${value}`),
        ),
      ),
    ),
    h("button", { class: "key key-main", disabled: state.busy }, say("enrol.do")),
  );
}

function keyField() {
  return h("input", {
    name: "key",
    required: true,
    value: state.key,
    autocomplete: "off",
    autocapitalize: "none",
    spellcheck: "false",
  });
}

function whoAreYou() {
  const chosen = here.people.find((one) => one.id === state.person);
  return h(
    "section",
    { class: "sheet", "data-key": "who" },
    h("h1", {}, say("signin.title")),
    problem(state.error),
    here.people.length === 0 && h("p", {}, say("signin.nobody-listed")),
    h(
      "div",
      { class: "initials", role: "group", "aria-label": say("signin.people") },
      here.people.map((one) => initials(one)),
    ),
    chosen && pinFor(chosen),
    h(
      "div",
      { class: "keys" },
      key(say("signin.unlisted"), () => attempt(beUnlisted, () => leave("/look"))),
      (here.me.person || here.me.owner || here.unlisted) &&
        key(say("signin.out"), () => attempt(signOut, () => go("/sign-in"))),
    ),
    h("p", { class: "small" }, say("signin.unlisted.what")),
    h("h2", {}, say("call.title")),
    callList(),
  );
}

function initials(one) {
  const choose = () => {
    state.person = one.id;
    state.pin = newPin();
    redraw();
  };
  return key(one.initials, choose, {
    "aria-pressed": state.person === one.id ? "true" : "false",
    "aria-label": `${one.initials}, ${one.name}`,
    "data-key": one.id,
  });
}

function pinFor(person) {
  return h(
    "div",
    { "data-key": `pin-${person.id}` },
    h("h2", {}, say("signin.pin", { name: person.name })),
    pinPad(state.pin, say("signin.do", { initials: person.initials }), (pin) =>
      attempt(() => signIn(person.id, pin), () => leave(state.back)),
    ),
  );
}
