/** One pool's water in sentences: the index and its band, what comes first, what it rests on. */

import { h } from "../ground/dom.js";
import { redraw } from "../ground/store.js";
import { when } from "../ground/time.js";
import { unitOf } from "../ground/unit.js";
import { listed, say, sayOr } from "../ground/words.js";
import { askCauses, causes } from "./causes.js";
import { combinedBlock } from "./combined.js";
import { key, keyLink } from "./key.js";
import { planKey, planPanel } from "./plan.js";
import { waterMore } from "./watermore.js";

const HOUR = 60;
const DAY = 24 * HOUR;

/**
 * @param {any} row of the Water page
 * @param {boolean} alone whether only this pool is shown
 * @param {boolean} mayPlan whether this person's recorded competence allows a plan
 */
export function waterLane(row, alone, mayPlan) {
  return h(
    "li",
    { class: "lane lane-light", "data-key": row.pool },
    h(
      "div",
      { class: "lane-body" },
      h("h2", { class: "lane-name" }, row.name),
      combinedBlock(row),
      row.index === null ? unknown(row) : known(row),
      h(
        "div",
        { class: "keys" },
        !alone &&
          keyLink(say("water.trends"), `/water?pool=${row.pool}`, { "aria-label": say("water.trends-of", row) }),
        behindKey(row),
        mayPlan && planKey(row),
        keyLink(say("lane.test"), `/test?pool=${row.pool}`, { "aria-label": say("lane.test-pool", row) }),
      ),
      mayPlan && planPanel(row),
      behind.has(row.pool) && causes(row.pool),
    ),
  );
}

/** The pools whose causes somebody asked for. */
const behind = new Set();

function behindKey(row) {
  const open = behind.has(row.pool);
  const press = () => {
    if (open) behind.delete(row.pool);
    else {
      behind.add(row.pool);
      askCauses(row.pool);
    }
    redraw();
  };
  const more = { "aria-expanded": open ? "true" : "false", "aria-label": say("water.behind-of", row) };
  return key(say("water.behind"), press, { "data-key": "behind", ...more });
}

/** Two decimals are for reckoning; people read "200" and "7.2". @param {string} text */
export function trimmed(text) {
  return text.includes(".") ? text.replace(/\.?0+$/, "") : text;
}

export function nameOf(parameter) {
  return sayOr(`name.${parameter}`, "") || say(`short.${parameter}`);
}

/** The name inside a sentence: a small letter, save where the trade writes a capital. */
function inSentence(parameter) {
  return say(`water.name.${parameter}`);
}

function known(row) {
  const failing = row.fails.length > 0;
  return [
    failing && first(row),
    h(
      "p",
      { class: "lane-sentence" },
      h("strong", {}, say("water.index", row.index)),
      " ",
      say(`water.tend.${row.index.tendency}`),
      row.balanced && [" ", h("strong", {}, say("water.balanced"))],
    ),
    !failing && first(row),
    restsOn(row),
    drivers(row.drivers),
    handbook(row.handbook),
    hocl(row.hocl),
    waterMore(row),
  ];
}

function first(row) {
  const fails = listed(row.fails.map(nameOf));
  const [one, ...then] = row.first.map((step) => stepWords(step, fails));
  return [
    h("p", { class: "water-first" }, h("b", {}, say("water.first")), " ", one),
    then.map((text, index) => h("p", { "data-key": `then ${index}` }, h("b", {}, say("water.then")), " ", text)),
  ];
}

function stepWords(step, fails) {
  const band = bandWords(step);
  const name = step.parameter ? inSentence(step.parameter) : "";
  const own = sayOr(`water.do.${step.id}.${step.parameter}`, "");
  const values = { band, name, fails, low: trimmed(step.low), high: trimmed(step.high) };
  return own ? say(`water.do.${step.id}.${step.parameter}`, values) : say(`water.do.${step.id}`, values);
}

function bandWords({ low, high }) {
  if (low && high) return say("water.band", { low: trimmed(low), high: trimmed(high) });
  if (low) return say("compare.at-least", { limit: trimmed(low) });
  return high ? say("compare.at-most", { limit: trimmed(high) }) : "";
}

function restsOn(row) {
  return [
    h("h3", {}, say("water.rests")),
    h(
      "ul",
      { class: "rests" },
      row.inputs.map((one) =>
        h(
          "li",
          { "data-key": one.parameter },
          h("b", {}, `${say(`short.${one.parameter}`)} ${one.value}`),
          [" ±", one.error, unitOf(one.parameter)].filter(Boolean).join(" "),
          ", ",
          say(one.borrowed ? "water.of-older" : "water.of", { at: when(one.at), age: ageWords(one.age_minutes) }),
        ),
      ),
    ),
    row.taken_as_none.includes("salt") &&
      h("p", { class: "small" }, say("water.no-salt", { by: row.more.salt_1000_moves_by })),
  ];
}

/** "2 h", "3 days". @param {number} minutes */
export function ageWords(minutes) {
  if (minutes < 2 * HOUR) return say("every.minutes", { count: minutes });
  if (minutes < 2 * DAY) return say("every.hours", { count: Math.floor(minutes / HOUR) });
  return say("water.days", { count: Math.floor(minutes / DAY) });
}

function drivers(rows) {
  if (rows.length === 0) return null;
  const names = rows.map((one) => inSentence(one.parameter));
  return h("p", {}, say("water.drivers", { names: listed(names), first: names[0] }));
}

function handbook(table) {
  if (table === null) return null;
  const apart = Number(table.above_by);
  const causes = table.causes.filter((one) => Math.abs(Number(one.by)) >= 0.05);
  const side = apart > 0 ? "higher" : "lower";
  const by = Math.abs(apart).toFixed(1);
  const why = causes.map((one) => say(`water.cause.${one.id}`, { by: signed(one.by) }));
  return h(
    "p",
    {},
    say(Number(by) === 0 ? "water.table-same" : `water.table-${side}`, { value: table.value, by }),
    " ",
    why.length > 0 && say("water.table-why", { causes: listed(why) }),
  );
}

/** "+0.12", "-0.10". @param {string} text */
export function signed(text) {
  return Number(text) > 0 ? `+${text}` : text;
}

function hocl(found) {
  if (found === null) return null;
  return h("p", {}, say("water.hocl", { low: found.low_mg_l, high: found.high_mg_l }));
}

/** Why there is no index, and how to get one. */
function unknown(row) {
  if (row.state !== "missing") return h("p", { class: "lane-sentence" }, h("strong", {}, say(`water.state.${row.state}`)));
  return [
    h("p", { class: "lane-sentence" }, h("strong", {}, say("water.state.missing"))),
    h(
      "ul",
      { class: "actions" },
      row.missing.map((one) =>
        h("li", { "data-key": one.parameter }, say(`water.why.${one.why}`, missingValues(one)), " ", how(one.parameter)),
      ),
    ),
    row.inputs.length > 0 && h("p", { class: "small" }, say("water.known", { names: knownNames(row) })),
  ];
}

function missingValues(one) {
  const at = one.at ? when(one.at) : "";
  return { name: nameOf(one.parameter), value: one.value ?? "", at };
}

function how(parameter) {
  return sayOr(`water.how.${parameter}`, "") || say("water.how.other");
}

function knownNames(row) {
  return listed(row.inputs.map((one) => `${say(`short.${one.parameter}`)} ${one.value}`));
}
