/** A round that was taken earlier, typed from memory or from paper: one tap for which, one for when. */

import { h } from "../ground/dom.js";
import { redraw } from "../ground/store.js";
import { clock, fromLocal, isoDay, when } from "../ground/time.js";
import { say } from "../ground/words.js";
import { keep } from "../round/draft.js";
import { key } from "./key.js";

const HALF_HOUR_MS = 30 * 60_000;
const OFFERED = 8;

/** The keys that say so, where nobody has. @param {import("../round/bench.js").Bench} bench */
export function sourceKeys({ draft }) {
  if (draft.source !== "direct") return null;
  const choose = (source) => () => set(draft, { source, asksWhen: true });
  return ["late", "paper"].map((source) => key(say(`source.${source}`), choose(source), { kind: "small", "data-key": source }));
}

/** When it was taken. @param {import("../round/bench.js").Bench} bench */
export function sourcePart(bench) {
  const { draft } = bench;
  if (draft.source === "direct") return null;
  if (draft.taken && !draft.asksWhen) return told(draft);
  return question(draft);
}

function set(draft, change) {
  Object.assign(draft, change);
  keep(draft);
  redraw();
}

function told(draft) {
  const words = say(`source.${draft.source}.taken`, { at: when(draft.taken) });
  return h(
    "div",
    { class: "source", "data-key": "source" },
    h("p", { class: "looked" }, words),
    h(
      "div",
      { class: "keys" },
      key(say("source.when-else"), () => set(draft, { asksWhen: true }), { kind: "small", "data-key": "when" }),
      key(say("source.direct"), () => set(draft, { source: "direct", taken: 0, takenOn: "", takenAt: "" }), { kind: "small", "data-key": "direct" }),
    ),
  );
}

/** The half hours before now; no time is taken for granted. */
function question(draft) {
  const last = Math.floor(Date.now() / HALF_HOUR_MS) * HALF_HOUR_MS;
  const times = Array.from({ length: OFFERED }, (_, index) => last - index * HALF_HOUR_MS);
  return h(
    "fieldset",
    { class: "choice source", "data-key": "source" },
    h("legend", {}, say(`source.${draft.source}.when`)),
    h(
      "div",
      { class: "keys times" },
      times.map((taken) => key(clock(taken), () => set(draft, { taken, asksWhen: false }), { "data-key": clock(taken) })),
    ),
    another(draft),
    draft.taken > 0 && h("p", { class: "looked", role: "status" }, say(`source.${draft.source}.taken`, { at: when(draft.taken) })),
    key(say("source.direct"), () => set(draft, { source: "direct", taken: 0, takenOn: "", takenAt: "", asksWhen: false }), {
      kind: "small",
      "data-key": "direct",
    }),
    draft.source === "paper" && h("p", {}, blankLink()),
  );
}

/** Paper for the next time. */
export function blankLink() {
  return h("a", { href: "/api/v1/sheet/blank", download: "lanewater-blank.pdf" }, say("source.blank"));
}

/** Any other time: the day and the minute. */
function another(draft) {
  const today = isoDay(Date.now());
  const give = (change) => {
    const { takenOn = "", takenAt = "" } = { ...draft, ...change };
    const taken = takenAt ? fromLocal(takenOn || today, takenAt) : 0;
    // A round is not taken in the time to come. The fields stay while their digits are typed.
    set(draft, { ...change, taken: taken <= Date.now() ? taken : 0 });
  };
  const onchange = (name) => (event) => give({ [name]: event.target.value });
  return h(
    "details",
    { class: "fold", "data-key": "another" },
    h("summary", {}, say("source.another")),
    h(
      "div",
      { class: "filter" },
      h("label", {}, say("extras.taken-on"), h("input", { type: "date", value: draft.takenOn || today, max: today, onchange: onchange("takenOn") })),
      h("label", {}, say("extras.taken"), h("input", { type: "time", value: draft.takenAt ?? "", onchange: onchange("takenAt") })),
    ),
  );
}
