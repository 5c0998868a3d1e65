/** Everything that is seldom needed, behind one key: more readings, a point by its name, a note. */

import { h } from "../ground/dom.js";
import { redraw } from "../ground/store.js";
import { say } from "../ground/words.js";
import { activate, addPoint } from "../round/bench.js";
import { keep } from "../round/draft.js";
import { moreFields } from "../round/fields.js";
import { key } from "./key.js";
import { blankLink } from "./source.js";

/** @param {import("../round/bench.js").Bench} bench */
export function extras(bench) {
  return h(
    "details",
    { class: "extras", "data-key": "extras" },
    h("summary", { class: "key" }, say("extras.more")),
    points(bench),
    readings(bench),
    noteField(bench),
    h("p", { "data-key": "blank" }, blankLink()),
  );
}

function points(bench) {
  const { draft } = bench;
  const used = [draft.point, ...draft.points];
  const add = (point) => {
    if (point && !used.includes(point)) addPoint(bench, point);
    redraw();
  };
  const onsubmit = (event) => {
    event.preventDefault();
    add(String(new FormData(event.currentTarget).get("point")).trim());
  };
  return h(
    "form",
    { class: "choice", onsubmit, "data-key": "points" },
    h("p", { class: "legend" }, say("extras.point")),
    h("label", {}, say("extras.point-name"), h("input", { name: "point", maxlength: 60, autocomplete: "off" })),
    h("button", { class: "key" }, say("extras.point-add")),
  );
}

function readings(bench) {
  const { draft, context } = bench;
  const rest = moreFields(context.pool.facts).filter((one) => !draft.more.includes(one));
  const add = (parameter) => {
    draft.more.push(parameter);
    keep(draft);
    activate(bench, { parameter, point: draft.point });
    redraw();
  };
  return h(
    "div",
    { class: "choice", role: "group", "aria-label": say("extras.readings"), "data-key": "readings" },
    h("p", { class: "legend" }, say("extras.readings")),
    h(
      "div",
      { class: "keys" },
      rest.map((one) => key(`+ ${say(`name.${one}`)}`, () => add(one), { "data-key": one })),
    ),
  );
}

function noteField(bench) {
  const set = (event) => {
    const text = event.target.value.trim();
    bench.draft.notes = [...bench.draft.notes.filter((one) => one !== bench.draft.typedNote), text].filter(Boolean);
    bench.draft.typedNote = text;
    keep(bench.draft);
  };
  return h(
    "label",
    { "data-key": "note" },
    say("extras.note"),
    h("input", { maxlength: 300, autocomplete: "off", onchange: set }),
  );
}
