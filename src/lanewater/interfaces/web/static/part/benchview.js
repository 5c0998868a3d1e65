/** The bench: what was looked at, the fields with their limits, the stand, the keypad. */

import { h } from "../ground/dom.js";
import { redraw } from "../ground/store.js";
import { clock } from "../ground/time.js";
import { numberShown } from "../ground/locale.js";
import { say } from "../ground/words.js";
import {
  activate,
  addPoint,
  betweenColours,
  dilute,
  inField,
  kitInUse,
  next,
  rowsAt,
  tabletIn,
  take,
  useKit,
} from "../round/bench.js";
import { answer, fieldOf, moveTo } from "../round/draft.js";
import { limitsOf, shown } from "../round/engine.js";
import { CLARITY, isChlorine } from "../round/fields.js";
import { limitWords } from "../round/limits.js";
import { choice, key } from "./key.js";
import { cylinder } from "./cylinder.js";
import { keypad, typedKey } from "./keypad.js";
import { combinedRow, stand } from "./pairrows.js";
import { readingWords } from "./sentence.js";
import { unitOf } from "../ground/unit.js";

const USUAL_POINTS = ["point.shallow", "point.deep"];
const COLOURED = ["comparator", "strips"];

let diluting = false;

/** @param {import("../round/bench.js").Bench} bench */
export function benchView(bench) {
  const rules = limitsOf(bench.context, bench.draft, Date.now());
  const points = [bench.draft.point, ...bench.draft.points];
  return h(
    "div",
    { class: "bench", "data-key": "bench" },
    where(bench),
    looked(bench),
    whichKit(bench),
    points.map((point) => pointRows(bench, point, rules, points.length > 1)),
    morePoints(bench),
  );
}

/** A key of a real keyboard, where the focus is on the bench. */
export function typed(bench, event) {
  if (bench.active === null || event.target.tagName === "INPUT") return;
  const id = typedKey(event);
  if (event.key === "Enter" && event.target.classList.contains("field")) {
    event.preventDefault();
    press(bench, "next");
  } else if (id !== "") {
    event.preventDefault();
    press(bench, id);
  }
}

function press(bench, id) {
  const onField = document.activeElement?.classList.contains("field");
  if (id === "tablet") tabletIn(bench, bench.active.point);
  else if (id === "dilute") diluting = !diluting;
  else if (id === "between") betweenColours(bench);
  else if (id === "next") next(bench);
  else take(bench, id);
  if (id !== "dilute" && id !== "tablet") diluting = false;
  redraw();
  showActive(onField);
}

/** The active field stays in sight above the keypad; a keyboard's focus goes with it. */
export function showActive(focus) {
  queueMicrotask(() => {
    const field = document.querySelector(".field[aria-pressed=true]");
    if (focus) field?.focus({ preventScroll: true });
    if (field) field.scrollIntoView({ block: "nearest" });
    else showResult();
  });
}

/** Where the result has come up out of sight, as on a phone, the page goes to it. */
function showResult() {
  const outcome = document.querySelector(".outcome:has(.result, .pair)");
  const hidden = outcome && outcome.getBoundingClientRect().top > innerHeight / 2;
  if (hidden) outcome.scrollIntoView({ block: "start" });
}

function where(bench) {
  const named = bench.context.pool.points ?? [];
  if (named.length === 0) return null;
  const options = named.filter((one) => !bench.draft.points.includes(one)).map((point) => [point, point]);
  const set = (point) => {
    moveTo(bench.draft, point);
    if (bench.active) bench.active.point = point;
    redraw();
  };
  const others = options.filter(([point]) => point !== bench.draft.point);
  // With two points, elsewhere is the other one: one tap.
  if (bench.draft.point && others.length === 1) return elsewhere(bench.draft.point, others[0][0], set);
  const asked = choice(say("test.where"), options, bench.draft.point, set, { name: "where" });
  return bench.draft.point ? fold("where", say("test.at", { point: bench.draft.point }), asked) : asked;
}

function elsewhere(point, other, set) {
  return h(
    "p",
    { class: "elsewhere", "data-key": "elsewhere" },
    h("span", {}, say("test.at-point", { point })),
    " ",
    key(say("test.took-at", { point: other }), () => set(other), { kind: "small", "data-key": other }),
  );
}

/** What is said already, in a line that unfolds to be said otherwise. */
function fold(name, words, question) {
  return h("details", { class: "fold", "data-key": `fold ${name}` }, h("summary", {}, words), question);
}

function looked(bench) {
  const { draft } = bench;
  const seen = fieldOf(draft, "clarity", "");
  const rest = ["temperature_c", "circulation"].map((name) => fieldOf(draft, name, "")).filter((one) => one?.value);
  if (seen) {
    const words = [seen, ...rest].map((one) => `${readingWords(one)} ${clock(one.at)}`);
    return h("p", { class: "looked", "data-key": "looked" }, words.join(" · "));
  }
  return choice(
    say("test.look-first"),
    CLARITY.map((value) => [value, say(`look.${value}`)]),
    "",
    (value) => {
      answer(draft, "clarity", value, Date.now());
      redraw();
    },
    { name: "looked" },
  );
}

function whichKit(bench) {
  const { kits } = bench.context;
  if (kits.length === 0) return h("p", { class: "small", "data-key": "kit" }, say("test.no-kit"));
  if (kits.length === 1) return null;
  const options = [...kits.map((one) => [one.kit, one.name]), ["", say("test.kit-not-said")]];
  const set = (kit) => {
    useKit(bench, kit);
    redraw();
    showActive(false);
  };
  const asked = choice(say("test.kit"), options, bench.draft.kit, set, { name: "kit" });
  if (bench.draft.kit === null) return asked;
  const chosen = kitInUse(bench)?.name ?? say("test.kit-not-said");
  return fold("kit", say("test.with", { kit: chosen }), asked);
}

function pointRows(bench, point, rules, several) {
  const rows = rowsAt(bench, point);
  const chlorine = rows.some((one) => one.parameter === "total_chlorine");
  return h(
    "div",
    { class: "point", "data-key": `point ${point}` },
    several && h("h2", {}, point || say("test.first-point")),
    tries(bench, point),
    rows.map((entry) => row(bench, entry, rules)),
    chlorine && combinedRow(bench, point, rules),
  );
}

/** Another point in one tap: only the tests are done again there. */
function morePoints(bench) {
  const { draft, context } = bench;
  const named = context.pool.points ?? [];
  const known = named.length ? named : USUAL_POINTS.map((id) => say(id));
  const free = known.filter((one) => ![draft.point, ...draft.points].includes(one));
  if (draft.retest || free.length === 0 || rowsAt(bench, draft.point).length === 0) return null;
  const add = (point) => {
    addPoint(bench, point);
    redraw();
    showActive(false);
  };
  return h(
    "div",
    { class: "keys more-points", role: "group", "aria-label": say("extras.point"), "data-key": "more-points" },
    free.map((one) => key(`+ ${one}`, () => add(one), { kind: "small", "data-key": one })),
  );
}

/** First tries stay in sight, struck, above what was tested again. */
function tries(bench, point) {
  const old = bench.draft.tries.filter((one) => one.point === point);
  if (old.length === 0) return null;
  return h(
    "p",
    { class: "tries", "data-key": "tries" },
    say("test.first-try"),
    " ",
    old.map((one) => [h("s", {}, readingWords(one)), " "]),
  );
}

function row(bench, entry, rules) {
  const { parameter, point } = entry;
  const field = fieldOf(bench.draft, parameter, point);
  const active = bench.active?.parameter === parameter && bench.active?.point === point;
  const limit = limitWords(rules, parameter);
  const open = () => {
    activate(bench, entry);
    diluting = false;
    redraw();
  };
  return h(
    "div",
    { class: "field-row", "data-key": `${parameter}@${point}` },
    h(
      "button",
      { type: "button", class: "field", "aria-pressed": active ? "true" : "false", onclick: open },
      h("span", { class: "field-name" }, say(`name.${parameter}`)),
      h("span", { class: "field-value" }, numberShown(inField(bench, entry)), " ", h("small", {}, unitOf(parameter))),
      betweenWords(bench, field, active),
      field?.dilution > 1 && h("span", { class: "field-note" }, dilutionWords(field, bench.context)),
      changes(bench, entry),
      h("span", { class: "field-limit" }, limit || say(bench.context.rules ? "limit.none" : "limit.no-rules")),
    ),
    parameter === "total_chlorine" && stand(bench, point),
  );
}

function betweenWords(bench, field, active) {
  if (field?.between) return h("span", { class: "field-note" }, say("test.between", field.between));
  return active && bench.between && h("span", { class: "field-note" }, say("test.between-lower"));
}

function dilutionWords(field, context) {
  const made = say("dilution.made", { factor: field.dilution });
  return field.value ? say("dilution.counts", { made, value: shown(field, context) }) : made;
}

function changes(bench, { parameter, point }) {
  const old = bench.draft.changed.filter((one) => one.parameter === parameter && one.point === point);
  if (old.length === 0) return null;
  return h(
    "span",
    { class: "field-note" },
    old.map((one) => [h("s", {}, numberShown(one.value)), " "]),
    say(bench.draft.swapped ? "test.swapped" : "test.changed"),
  );
}

/** The keypad for the active field, with the keys that this field may need. */
export function pad(bench) {
  if (bench.active === null) return null;
  const { parameter, point } = bench.active;
  const field = fieldOf(bench.draft, parameter, point);
  const chlorine = isChlorine(parameter);
  const kit = kitInUse(bench);
  const tablet = rowsAt(bench, point).some((one) => one.parameter === "total_chlorine");
  const extras = [
    tablet && !bench.draft.tablet[point] && { id: "tablet", text: say("key.tablet"), main: true },
    { id: "over", text: say("key.over") },
    parameter === "ph" && { id: "under", text: say("key.under") },
    COLOURED.includes(kit?.kind) && { id: "between", text: say("key.between"), pressed: bench.between },
    chlorine && kit?.kind !== "photometer" && { id: "under", text: say("key.no-colour") },
    parameter !== "ph" && { id: "dilute", text: say("key.dilute") },
    { id: "next", text: say("key.next") },
  ].filter(Boolean);
  return h(
    "div",
    { class: "pad", "data-key": "pad" },
    diluting && dilution(bench, field),
    keypad((id) => press(bench, id), extras, { label: say("test.pad", { name: say(`name.${parameter}`) }) }),
  );
}

function dilution(bench, field) {
  const set = (factor) => {
    dilute(bench, bench.active, factor);
    diluting = false;
    redraw();
  };
  const options = [1, 2, 5, 10].map((factor) => [
    factor,
    factor === 1 ? say("dilution.none") : [cylinder(factor), h("span", {}, say("dilution.made", { factor }))],
  ]);
  return choice(say("dilution.title"), options, field?.dilution ?? 1, set, { name: "dilution" });
}

