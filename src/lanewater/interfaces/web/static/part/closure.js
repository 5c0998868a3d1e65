/** A closing that stands: by whose order, on which clause, and what follows it: the sign, the authority, lifting. */

import { h } from "../ground/dom.js";
import { here, may, redraw } from "../ground/store.js";
import { when } from "../ground/time.js";
import { language, say } from "../ground/words.js";
import { lift, notified, posted } from "../offline/closures.js";
import { key, keyLink } from "./key.js";
import { newPin, pinPad } from "./pin.js";
import { problem } from "./problem.js";
import { sampleWords } from "./reopening.js";
import { who } from "./sentence.js";
import { tellList } from "./tell.js";

const state = { about: "", what: "", authority: "", reference: "", pin: newPin(), error: null };

/** @param {any} row of the Now page @param {() => Promise<void>} after */
export function closureParts(row, after) {
  const failing = row.samples.filter((one) => !one.verdict.startsWith("meets"));
  const shut = row.status === "closed" || row.status === "everyone-out";
  return [
    failing.length > 0 &&
      h("p", { "data-key": "samples" }, say("sample.failing", { results: failing.map(sampleWords).join(", "), at: when(failing[0].at) })),
    row.closures.map((one) => closure(row, one, after)),
    shut && keyLink(say("sign.key"), `/sign?pool=${row.pool}`, { "data-key": "sign", "aria-label": say("sign.key-pool", row) }),
  ];
}

function closure(row, one, after) {
  return h(
    "div",
    { class: "closure", "data-key": one.entry },
    h("p", { class: one.by_order ? "" : "small" }, sentence(one), one.clause && ` ${say("closure.clause", one)}`),
    h(
      "div",
      { class: "keys" },
      !one.told && more(one, "tell"),
      one.notice === null && key(say("closure.posted"), () => run(() => posted(row.pool, one.entry, [language()]), after), { "data-key": "posted" }),
      more(one, "notify"),
      one.by_order && one.lifted === null && may("open") === "yes" && more(one, "lift"),
    ),
    state.about === one.entry && panel(row, one, after),
  );
}

function sentence(one) {
  const values = { at: when(one.at), authority: one.authority, reference: one.reference };
  if (!one.by_order) return say("closure.own", { at: values.at, by: who(one.by, here.now?.people) });
  if (one.lifted === null) return say(one.reference ? "closure.ordered.reference" : "closure.ordered", values);
  return say("closure.lifted", { ...values, at: when(one.lifted), authority: one.lifted_authority });
}

function more(one, what) {
  const opened = state.about === one.entry && state.what === what;
  const toggle = () => {
    Object.assign(state, { about: opened ? "" : one.entry, what, authority: one.authority, reference: "", error: null });
    state.pin = newPin();
    redraw();
  };
  return key(say(`closure.key.${what}`), toggle, { "aria-expanded": opened ? "true" : "false", "data-key": what });
}

function panel(row, one, after) {
  if (state.what === "tell") {
    return tellList(row.pool, one.entry, say("closure.tell", { pool: row.name, at: when(one.at), reason: one.reason }));
  }
  const done = (pin) =>
    state.what === "lift"
      ? lift(row, one, { pin, authority: state.authority, reference: state.reference })
      : notified(row.pool, one.entry, { authority: state.authority });
  const ready = state.authority !== "";
  return h(
    "div",
    { class: "panel", "data-key": `panel ${state.what}` },
    problem(state.error),
    field("authority", say(state.what === "lift" ? "closure.lift.by" : "closure.notify.whom")),
    state.what === "lift" && [field("reference", say("closing.reference")), h("p", { class: "small" }, say("closure.lift.what"))],
    ready && state.what === "lift" && pinPad(state.pin, say("closure.lift"), (pin) => run(() => done(pin), after)),
    ready && state.what === "notify" && key(say("closure.notify.key"), () => run(() => done(""), after), { kind: "main", "data-key": "notified" }),
  );
}

function field(name, words) {
  const oninput = (event) => {
    state[name] = event.target.value.trim();
    redraw();
  };
  return h("label", { "data-key": name }, words, h("input", { maxlength: 200, autocomplete: "off", value: state[name], oninput }));
}

async function run(action, after) {
  const panel = state.pin;
  try {
    await action();
    // Whoever opened the next panel before the answer came keeps it.
    if (state.pin === panel) state.about = "";
    state.error = null;
    await after();
  } catch (error) {
    state.error = error;
  }
  redraw();
}
