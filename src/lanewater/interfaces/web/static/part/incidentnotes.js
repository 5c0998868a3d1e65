/** What happened since: again, how many people, a line in words. Each is kept with its time and name. */

import { h } from "../ground/dom.js";
import { here, redraw } from "../ground/store.js";
import { when } from "../ground/time.js";
import { say } from "../ground/words.js";
import { noteAt } from "../offline/incidents.js";
import { fold } from "./fold.js";
import { key } from "./key.js";
import { problem } from "./problem.js";
import { who } from "./sentence.js";

/** Of whom somebody asks how many. */
const PEOPLE = ["gas", "complaints", "injury", "chemical-spill"];
const state = { words: "", count: "", busy: false, error: null };

export function leaveNotes() {
  Object.assign(state, { words: "", count: "", busy: false, error: null });
}

/** @param {any} incident */
export function notesPart(incident) {
  return fold(
    "notes",
    say("incidents.notes"),
    incident.facts.notes.length > 0,
    noted(incident.facts.notes),
    problem(state.error),
    h(
      "div",
      { class: "keys" },
      key(say("incidents.note.again"), () => add(incident, { what: "again" }), { disabled: state.busy, "data-key": "again" }),
    ),
    PEOPLE.includes(incident.kind) && counting(incident),
    writing(incident),
  );
}

function noted(rows) {
  if (rows.length === 0) return null;
  return h(
    "ul",
    { class: "noted" },
    rows.map((one) =>
      h("li", { "data-key": `${one.what} ${one.at}` }, say(`incidents.noted.${one.what}`, { count: one.count ?? 0, words: one.words ?? "", at: when(one.at), by: who(one.by, here.now?.people) })),
    ),
  );
}

function counting(incident) {
  const oninput = (event) => {
    state.count = event.target.value.replace(/\D/g, "");
    redraw();
  };
  return h(
    "div",
    { class: "note-row", "data-key": "people" },
    h("label", {}, say("incidents.note.people"), h("input", { inputmode: "numeric", maxlength: 4, autocomplete: "off", oninput })),
    key(say("incidents.note.add"), () => add(incident, { what: "people", count: Number(state.count) }), {
      disabled: state.busy || state.count === "",
      "data-key": "add-people",
      "aria-label": say("incidents.note.add-people"),
    }),
  );
}

function writing(incident) {
  const oninput = (event) => {
    state.words = event.target.value.trim();
    redraw();
  };
  return h(
    "div",
    { class: "note-row", "data-key": "words" },
    h("label", {}, say("reason.own"), h("input", { maxlength: 300, autocomplete: "off", oninput })),
    key(say("incidents.note.add"), () => add(incident, { what: "words", words: state.words }), {
      disabled: state.busy || state.words === "",
      "data-key": "add-words",
      "aria-label": say("incidents.note.add-words"),
    }),
  );
}

async function add(incident, said) {
  Object.assign(state, { busy: true, error: null });
  redraw();
  try {
    await noteAt(incident, said);
    Object.assign(state, { words: "", count: "" });
    for (const field of document.querySelectorAll(".note-row input")) field.value = "";
  } catch (error) {
    state.error = error;
  }
  state.busy = false;
  redraw();
}
