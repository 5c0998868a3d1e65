/** Draw a form from its fields. */

import { h } from "../ground/dom.js";
import { here } from "../ground/store.js";
import { say, sayOr } from "../ground/words.js";
import { key } from "../part/key.js";
import { PURPOSES } from "./spec.js";

const TYPES = { date: "date", time: "time", phone: "tel" };
const UNITS = ["m3", "L", "us-gal", "imp-gal"];

/**
 * @param {string} what
 * @param {any} field
 * @param {{item: any, site: any, rows: Record<string, number>, onRow: (name: string, change: number) => void}} context
 * @param {string} prefix where the field's item lies in the whole, "" at the top
 */
export function fieldView(what, field, context, prefix = "") {
  const name = prefix + field.name;
  const drawn = { what, field, name, context, value: valueAt(context.item, name) };
  return (VIEWS[field.as] ?? plain)(drawn);
}

/** The value at a path of an item, such as "targets.0.low". */
export function valueAt(item, path) {
  return path.split(".").reduce((found, step) => found?.[step], item) ?? "";
}

const VIEWS = { select, ticks, lines, rows, flag, volume, pairs };

function label({ what, field }) {
  return [
    say(`form.${what}.${field.name}`),
    !field.need && h("span", { class: "small" }, ` ${say("form.optional")}`),
  ];
}

function hint({ what, field }) {
  const words = sayOr(`form.${what}.${field.name}.hint`, "");
  return words && h("small", {}, words);
}

function plain(drawn) {
  const { field, name, value } = drawn;
  const number = ["decimal", "whole"].includes(field.as);
  return h(
    "label",
    { "data-key": name },
    label(drawn),
    h("input", {
      name,
      value,
      type: TYPES[field.as] ?? "text",
      inputmode: number ? "decimal" : null,
      required: field.need,
      autocomplete: "off",
      class: number ? "short" : null,
    }),
    hint(drawn),
  );
}

function optionsOf(field, site) {
  const texts = field.words ?? `option.${field.name.split(".").pop()}`;
  if (Array.isArray(field.of)) return field.of.map((value) => [value, say(`${texts}.${value}`)]);
  const idOf = field.of.slice(0, -1);
  return site[field.of].map((one) => [one[idOf], one.name]);
}

function select(drawn) {
  const { field, name, value, context } = drawn;
  return h(
    "label",
    { "data-key": name },
    label(drawn),
    h(
      "select",
      { name, required: field.need },
      h("option", { value: "" }, say("form.choose")),
      optionsOf(field, context.site).map(([id, text]) =>
        h("option", { value: id, selected: String(value) === id }, text),
      ),
    ),
    hint(drawn),
  );
}

function ticks(drawn) {
  const { field, name, value, context } = drawn;
  return h(
    "fieldset",
    { class: "choice", "data-key": name },
    h("legend", {}, say(`form.${drawn.what}.${field.name}`)),
    optionsOf(field, context.site).map(([id, text]) =>
      h(
        "label",
        { class: "tick" },
        h("input", { type: "checkbox", name, value: id, checked: value.includes?.(id) }),
        text,
      ),
    ),
    hint(drawn),
  );
}

function flag(drawn) {
  return h(
    "label",
    { class: "tick", "data-key": drawn.name },
    h("input", { type: "checkbox", name: drawn.name, value: "yes" }),
    say(`form.${drawn.what}.${drawn.field.name}`),
    hint(drawn),
  );
}

function lines(drawn) {
  const text = Array.isArray(drawn.value) ? drawn.value.join("\n") : "";
  return h(
    "label",
    { "data-key": drawn.name },
    label(drawn),
    h("textarea", { name: drawn.name, rows: 3 }, text),
    hint(drawn),
  );
}

/** A volume in the unit it is known in; what is on record is cubic metres. */
function volume(drawn) {
  const { item } = drawn.context;
  const typed = item.volume_typed ?? { value: item.volume_m3 ?? "", unit: item.volume_m3 ? "m3" : "" };
  const usual = here.me?.site?.units?.volume;
  const order = usual ? [usual, ...UNITS.filter((one) => one !== usual)] : UNITS;
  return h(
    "div",
    { class: "pair-of-fields", "data-key": "volume" },
    h(
      "label",
      {},
      label(drawn),
      h("input", { name: "volume.value", value: typed.value, inputmode: "decimal", class: "short", autocomplete: "off" }),
      hint(drawn),
    ),
    h(
      "label",
      {},
      say("form.volume.unit"),
      h(
        "select",
        { name: "volume.unit" },
        h("option", { value: "" }, say("form.choose")),
        order.map((unit) => h("option", { value: unit, selected: unit === typed.unit }, say(`option.volume.${unit}`))),
      ),
    ),
  );
}

function rows(drawn) {
  const { what, field, name, context } = drawn;
  const count = context.rows[name] ?? 0;
  return h(
    "fieldset",
    { class: "rows-field", "data-key": name },
    h("legend", {}, say(`form.${what}.${field.name}`)),
    hint(drawn),
    Array.from({ length: count }, (_, index) =>
      h(
        "div",
        { class: "row-of-fields", "data-key": `${name}.${index}` },
        field.of.map((inner) => fieldView(`${what}.${field.name}`, inner, context, `${name}.${index}.`)),
      ),
    ),
    key(say(`form.${what}.${field.name}.add`), () => context.onRow(name, 1), { "data-key": "add" }),
    count > 0 && key(say("form.row-less"), () => context.onRow(name, -1), { "data-key": "less" }),
  );
}

/** Which product is approved for what, on which pool. */
function pairs(drawn) {
  const known = Array.isArray(drawn.value) ? drawn.value : [];
  return h(
    "fieldset",
    { class: "choice", "data-key": drawn.name },
    h("legend", {}, say(`form.${drawn.what}.${drawn.field.name}`)),
    hint(drawn),
    drawn.context.site.pools.map((pool) =>
      h(
        "div",
        { class: "approved", role: "group", "aria-label": pool.name, "data-key": pool.pool },
        h("p", { class: "legend" }, pool.name),
        PURPOSES.map((purpose) =>
          h(
            "label",
            { class: "tick" },
            h("input", {
              type: "checkbox",
              name: drawn.name,
              value: `${pool.pool} ${purpose}`,
              checked: known.some((one) => one.pool === pool.pool && one.purpose === purpose),
            }),
            say(`purpose.${purpose}`),
          ),
        ),
      ),
    ),
  );
}
