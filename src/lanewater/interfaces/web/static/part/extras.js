/** Everything that is seldom needed, behind one key: more readings, another point, late or from paper. */

import { h } from "../ground/dom.js";
import { redraw } from "../ground/store.js";
import { fromLocal, isoDay } from "../ground/time.js";
import { say } from "../ground/words.js";
import { activate, rowsAt } from "../round/bench.js";
import { keep } from "../round/draft.js";
import { moreFields } from "../round/fields.js";
import { key } from "./key.js";

/** @param {import("../round/bench.js").Bench} bench */
export function extras(bench) {
  return h(
    "details",
    { class: "extras", "data-key": "extras" },
    h("summary", { class: "key" }, say("extras.more")),
    points(bench),
    readings(bench),
    source(bench),
    noteField(bench),
  );
}

function points(bench) {
  const { draft, context } = bench;
  const used = [draft.point, ...draft.points];
  const free = context.pool.points.filter((one) => !used.includes(one));
  const add = (point) => {
    if (!point || used.includes(point)) return;
    draft.points.push(point);
    keep(draft);
    activate(bench, rowsAt(bench, point)[0]);
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
    h("div", { class: "keys" }, free.map((one) => key(`+ ${one}`, () => add(one), { "data-key": one }))),
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

function source(bench) {
  const { draft } = bench;
  const set = (value) => {
    draft.source = value;
    if (value === "direct") Object.assign(draft, { taken: 0, takenOn: "", takenAt: "" });
    keep(draft);
    redraw();
  };
  const setTaken = (change) => {
    Object.assign(draft, change);
    draft.taken = draft.takenAt ? fromLocal(draft.takenOn || isoDay(Date.now()), draft.takenAt) : 0;
    keep(draft);
    redraw();
  };
  return h(
    "div",
    { class: "choice", role: "group", "aria-label": say("extras.source"), "data-key": "source" },
    h("p", { class: "legend" }, say("extras.source")),
    h(
      "div",
      { class: "keys" },
      ["direct", "late", "paper"].map((value) =>
        key(say(`source.${value}`), () => set(value), {
          "aria-pressed": draft.source === value ? "true" : "false",
          "data-key": value,
        }),
      ),
    ),
    draft.source !== "direct" &&
      h(
        "div",
        { class: "filter", "data-key": "taken" },
        h(
          "label",
          {},
          say("extras.taken-on"),
          h("input", {
            type: "date",
            value: draft.takenOn || isoDay(Date.now()),
            max: isoDay(Date.now()),
            onchange: (event) => setTaken({ takenOn: event.target.value }),
          }),
        ),
        h(
          "label",
          {},
          say("extras.taken"),
          h("input", {
            type: "time",
            value: draft.takenAt ?? "",
            required: true,
            onchange: (event) => setTaken({ takenAt: event.target.value }),
          }),
        ),
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
