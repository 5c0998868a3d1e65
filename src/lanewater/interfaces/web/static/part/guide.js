/** Show me how: the test step by step for the kit in use, only when asked, one step at a time. */

import { draw } from "../drawing/draw.js";
import { h } from "../ground/dom.js";
import { redraw } from "../ground/store.js";
import { clock, countdown } from "../ground/time.js";
import { say } from "../ground/words.js";
import { partOf, stepsFor } from "../guide/steps.js";
import { kitInUse, rowsAt, standLeft, tabletIn } from "../round/bench.js";
import { fieldOf } from "../round/draft.js";
import { key } from "./key.js";

const state = { open: false, index: 0 };

/** The quiet key on the bench; null where no kit is said, for then no steps are known. */
export function guideKey(bench) {
  if (stepsOf(bench).length === 0) return null;
  return key(say("guide.open"), () => openAt(bench), { kind: "small", class: "key key-small guide-open", "data-key": "guide" });
}

/** Close the guide, as where another page or pool is gone to. */
export function closeGuide() {
  state.open = false;
}

function stepsOf(bench) {
  const kind = kitInUse(bench)?.kind ?? "";
  return stepsFor(kind, rowsAt(bench, bench.draft.point).map((one) => one.parameter));
}

/** Open at the first step of what is being tested. */
function openAt(bench) {
  const part = partOf(bench.active?.parameter);
  const begun = Object.values(bench.draft.fields).some((one) => one.value && partOf(one.parameter) !== "sample");
  const found = stepsOf(bench).findIndex((one) => one.part === (begun ? part : "sample"));
  Object.assign(state, { open: true, index: Math.max(found, 0) });
  turned();
}

function turned() {
  redraw();
  queueMicrotask(() => {
    const guide = document.querySelector(".guide");
    if (!guide?.contains(document.activeElement)) guide?.focus({ preventScroll: true });
    guide?.scrollIntoView({ block: "start" });
  });
}

/** The guide in place of the bench, null while it is closed. The draft is left as it is. */
export function guideView(bench) {
  const steps = state.open ? stepsOf(bench) : [];
  if (steps.length === 0) return null;
  const index = Math.min(state.index, steps.length - 1);
  const close = () => {
    state.open = false;
    redraw();
  };
  return h(
    "section",
    {
      class: "guide",
      tabindex: -1,
      "data-key": "guide",
      "aria-label": say("guide.title", { kit: kitInUse(bench).name }),
      onkeydown: (event) => {
        event.stopPropagation();
        if (event.key === "Escape") close();
      },
    },
    key(say("guide.close"), close, { "data-key": "close" }),
    h("h2", {}, say("guide.title", { kit: kitInUse(bench).name })),
    stepView(bench, steps[index], index, steps.length),
    turning(index, steps.length, close),
    h("p", { class: "small" }, say("guide.card")),
    list(bench, steps, index),
  );
}

function stepView(bench, step, index, of) {
  return h(
    "div",
    { class: "guide-step", "aria-live": "polite", "data-key": "step" },
    h("p", { class: "guide-count" }, say("guide.count", { part: partName(bench, step), number: index + 1, of })),
    draw(step.draw, { spoken: false }),
    h("p", { class: "guide-words" }, wordsOf(bench, step)),
    step.stands && h("p", { class: "guide-words" }, standWords(bench)),
    step.does === "tablet" && tabletKey(bench),
  );
}

/** What a step says; the place of the sample is the one that the round says. */
function wordsOf(bench, step) {
  const { point } = bench.draft;
  if (step.id === "point" && point) return say("guide.point-said", { point });
  return say(`guide.${step.id}`, { what: say(`guide.what.${disinfectant(bench)}`) });
}

function partName(bench, step) {
  return say(step.part === "free" ? `short.${disinfectant(bench)}` : `guide.part.${step.part}`);
}

function disinfectant(bench) {
  const names = rowsAt(bench, bench.draft.point).map((one) => one.parameter);
  return names.includes("free_chlorine") ? "free_chlorine" : "total_bromine";
}

/** The wait stands on the kit's own card; where the site never wrote it down the card is asked. */
function standWords(bench) {
  const kit = kitInUse(bench);
  if (!kit.total_stand_s) return say(kit.kind === "titration" ? "guide.no-stand" : "guide.stand-unknown");
  const left = standLeft(bench, bench.draft.point);
  const whole = countdown(kit.total_stand_s);
  if (left === null) return say("guide.stand-card", { whole });
  return left > 0 ? say("guide.stand-left", { left: countdown(left), whole }) : say("guide.stand-over", { whole });
}

/** The bench's own key, here too: the clock must run from the moment the tablet is in. */
function tabletKey(bench) {
  const { point } = bench.draft;
  const since = bench.draft.tablet[point];
  if (since) return h("p", { class: "guide-words" }, say("stand.since", { at: clock(since) }));
  if (!fieldOf(bench.draft, "free_chlorine")?.keys) return null;
  return key(say("key.tablet"), () => {
    tabletIn(bench, point);
    redraw();
  }, { "data-key": "tablet" });
}

/** After the last step the one key leads back. */
function turning(index, of, close) {
  const turn = (by) => () => {
    state.index = index + by;
    turned();
  };
  return h(
    "div",
    { class: "keys guide-turn", "data-key": "turn" },
    key(say("guide.before"), turn(-1), { disabled: index === 0, "data-key": "before" }),
    index < of - 1
      ? key(say("guide.next"), turn(1), { kind: "main", "data-key": "next" })
      : key(say("guide.done"), close, { kind: "main", "data-key": "done" }),
  );
}

function list(bench, steps, index) {
  const go = (to) => () => {
    state.index = to;
    turned();
  };
  return h(
    "details",
    { class: "guide-list", "data-key": "list" },
    h("summary", {}, say("guide.all")),
    h(
      "ol",
      {},
      steps.map((step, number) =>
        h(
          "li",
          { "data-key": step.id },
          h("button", { type: "button", class: "guide-line", "aria-current": number === index ? "step" : false, onclick: go(number) }, wordsOf(bench, step)),
        ),
      ),
    ),
  );
}
