/** Look: at the poolside, all pools, before any test. Bottom, temperature, pump. */

import { h } from "../ground/dom.js";
import { numberShown } from "../ground/locale.js";
import { follow, go } from "../ground/router.js";
import { pools, redraw } from "../ground/store.js";
import { clock } from "../ground/time.js";
import { say } from "../ground/words.js";
import { key, keyLink } from "../part/key.js";
import { keypad, typedKey } from "../part/keypad.js";
import { callNow } from "./out.js";
import { older } from "../part/older.js";
import { unitOf } from "../ground/unit.js";
import { activate, finishLeft, inField, leave, newBench, take } from "../round/bench.js";
import { fetchContext } from "../round/context.js";
import { answer, draftOf, fieldOf } from "../round/draft.js";
import { CIRCULATION, CLARITY } from "../round/fields.js";

const TEMPERATURE = { parameter: "temperature_c", point: "" };
/** @type {Map<string, import("../round/bench.js").Bench>} */
let benches = new Map();

export const title = () => say("page.look");

export function enter(query) {
  benches = new Map();
  const wanted = query.get("pool");
  if (wanted) queueMicrotask(() => document.getElementById(`look-${wanted}`)?.scrollIntoView());
}

function benchOf(pool) {
  if (!benches.has(pool.pool)) {
    // At the poolside there is one number to type, so the order of the bench is empty.
    const context = { pool: { facts: { disinfectant: "not-asked" } }, kits: [] };
    const bench = newBench(draftOf(pool.pool), context);
    // What was typed here and left without Done stands as it was typed.
    finishLeft(bench, TEMPERATURE);
    benches.set(pool.pool, bench);
  }
  return benches.get(pool.pool);
}

export function tree() {
  return h(
    "div",
    { "data-key": "look" },
    h("h1", {}, say("look.title")),
    h("p", { class: "quiet" }, say("look.what")),
    pools().length === 0 && h("p", { class: "large" }, say("now.no-pools")),
    h("ol", { class: "lanes" }, pools().map(lookLane)),
  );
}

function lookLane(pool) {
  const bench = benchOf(pool);
  const seen = fieldOf(bench.draft, "clarity", "");
  return h(
    "li",
    { class: "lane lane-middle look", id: `look-${pool.pool}` },
    h(
      "div",
      { class: "lane-body" },
      h("h2", { class: "lane-name" }, pool.name),
      older(pool.pool, () => benches.delete(pool.pool)),
      bottom(pool, bench, seen),
      seen && [temperature(pool, bench), pump(bench), onward(pool, bench)],
    ),
  );
}

function bottom(pool, bench, seen) {
  const spray = pool.facts.kind === "spray" ? "spray." : "";
  return h(
    "fieldset",
    { class: "choice bottom", "data-key": "bottom" },
    h("legend", {}, say(`look.${spray}bottom`), seen && h("span", { class: "at" }, ` ${clock(seen.at)}`)),
    h(
      "div",
      { class: "keys keys-wide" },
      CLARITY.map((value) =>
        key(say(`look.${spray}${value}`), () => look(pool, bench, value), {
          kind: value === "visible" ? "plain" : "stop",
          "aria-pressed": seen?.value === value ? "true" : "false",
          "data-key": value,
        }),
      ),
    ),
  );
}

function look(pool, bench, value) {
  answer(bench.draft, "clarity", value, Date.now());
  if (value !== "visible") {
    const stop = value === "not-visible" ? "bottom-not-seen" : "bottom-cannot-tell";
    if (value === "not-visible") callNow(pool.pool, stop);
    go(`/out?pool=${pool.pool}&stop=${stop}`);
    return;
  }
  for (const other of benches.values()) leave(other);
  if (!fieldOf(bench.draft, "temperature_c", "")?.value) activate(bench, TEMPERATURE);
  fetchContext(pool.pool).catch(() => null);
  redraw();
}

function temperature(pool, bench) {
  const open = bench.active !== null;
  const press = (id) => {
    if (id === "next") leave(bench);
    else take(bench, id);
    redraw();
  };
  const onkeydown = (event) => {
    const id = event.key === "Enter" && open ? "next" : typedKey(event);
    if (id === "" || id === "over") return;
    event.preventDefault();
    press(id);
  };
  return h(
    "div",
    { "data-key": "temperature", onkeydown },
    h(
      "button",
      {
        type: "button",
        class: "field",
        "aria-pressed": open ? "true" : "false",
        onclick: () => {
          activate(bench, TEMPERATURE);
          redraw();
        },
      },
      h("span", { class: "field-name" }, say("name.temperature_c")),
      h("span", { class: "field-value" }, numberShown(inField(bench, TEMPERATURE)), h("small", {}, ` ${unitOf("temperature_c")}`)),
    ),
    open && keypad(press, [{ id: "next", text: say("key.done"), main: true }], { label: say("look.pad", pool) }),
  );
}

function pump(bench) {
  const told = fieldOf(bench.draft, "circulation", "");
  return h(
    "fieldset",
    { class: "choice", "data-key": "pump" },
    h("legend", {}, say("look.pump")),
    h(
      "div",
      { class: "keys" },
      CIRCULATION.map((value) =>
        key(
          say(`look.pump.${value}`),
          () => {
            answer(bench.draft, "circulation", value, Date.now());
            redraw();
          },
          { "aria-pressed": told?.value === value ? "true" : "false", "data-key": value },
        ),
      ),
    ),
  );
}

/** Going on ends the temperature: a digit tapped before the bench is there must not stand behind it. */
function onward(pool, bench) {
  const onclick = (event) => {
    leave(bench);
    redraw();
    follow(event);
  };
  return h(
    "div",
    { class: "keys", "data-key": "onward" },
    keyLink(say("look.test", pool), `/test?pool=${pool.pool}`, { kind: "main", onclick }),
  );
}
