/** Correct a reading: press it, type the right number, press why. Both values stay. */

import { h } from "../ground/dom.js";
import { redraw } from "../ground/store.js";
import { numberShown } from "../ground/locale.js";
import { unitOf } from "../ground/unit.js";
import { say } from "../ground/words.js";
import { correct } from "../offline/local.js";
import { CIRCULATION, CLARITY } from "../round/fields.js";
import { formatOf, isPast, kept, numberTyped, press } from "../round/typing.js";
import { choice, key } from "./key.js";
import { keypad, typedKey } from "./keypad.js";
import { problem } from "./problem.js";
import { readingWords } from "./sentence.js";

const REASONS = ["mistyped", "misread", "wrong-box", "wrong-pool"];
const WORDS = { clarity: CLARITY, circulation: CIRCULATION };

const NONE = { round: "", reading: null, keys: "", own: "", error: null, saving: false };

let state = { ...NONE };

export function stopCorrecting() {
  state = { ...NONE };
}

/** A reading is pressed to be corrected. @param {any} line a round @param {any} reading one of its readings */
export function correctKey(line, reading, content) {
  const start = () => {
    const same = state.reading === reading;
    stopCorrecting();
    if (!same) state = { ...state, round: line.id, reading };
    redraw();
  };
  return key(content, start, {
    kind: "reading",
    title: say("correct.this", { reading: readingWords(reading) }),
    "aria-expanded": state.reading === reading ? "true" : "false",
  });
}

/** The panel under the line whose reading is corrected. @param {any} line @param {() => Promise<void>} after */
export function correction(line, after) {
  if (state.round !== line.id || state.reading === null) return null;
  const { reading } = state;
  const words = WORDS[reading.parameter];
  return h(
    "li",
    { class: "panel", "data-key": `correct ${line.id}` },
    h("h2", {}, say("correct.title", { reading: readingWords(reading) })),
    problem(state.error),
    words ? wordKeys(words) : number(reading),
    reasons((reason) => save(line, reason, after)),
  );
}

/** A usual reason is one tap and saves; own words have a key of their own. */
function reasons(give) {
  const ready = state.keys !== "" && !state.saving;
  return h(
    "fieldset",
    { class: "choice", "data-key": "reason" },
    h("legend", {}, say("correct.why")),
    h(
      "div",
      { class: "keys" },
      REASONS.map((id) => key(say(`reason.${id}`), () => give(say(`reason.${id}`)), { disabled: !ready, "data-key": id })),
    ),
    h("label", {}, say("reason.own"), h("input", { maxlength: 300, autocomplete: "off", oninput: ownWords })),
    key(say("correct.save"), () => give(state.own), { disabled: !ready || state.own === "", "data-key": "save" }),
  );
}

function ownWords(event) {
  state.own = event.target.value.trim();
  redraw();
}

function wordKeys(words) {
  const options = words.map((value) => [value, say(`${state.reading.parameter}.${value}`)]);
  const set = (value) => {
    state.keys = value;
    redraw();
  };
  return choice(say("correct.value"), options, state.keys, set, { name: "value" });
}

/** The format of the number as it was typed: as many decimals, the point in the same place. */
function formatLike(reading) {
  const [, decimals] = reading.value.replace(/^[<>]/, "").split(".");
  const known = formatOf(undefined, reading.parameter);
  return { ...known, whole: reading.parameter === "temperature_c" ? 2 : 1, decimals: decimals?.length ?? 0 };
}

function number(reading) {
  const format = formatLike(reading);
  const take = (id) => {
    if (id !== "over" && !isPast(state.keys, id, format)) state.keys = press(state.keys, id);
    redraw();
  };
  const onkeydown = (event) => {
    const id = typedKey(event);
    if (id === "" || id === "over") return;
    event.preventDefault();
    take(id);
  };
  const shown = numberTyped(state.keys, format) || "–";
  return h(
    "div",
    { onkeydown, "data-key": "number" },
    h(
      "p",
      { class: "field-value large", tabindex: 0, role: "textbox", "aria-label": say("correct.value") },
      numberShown(shown),
      " ",
      h("small", {}, unitOf(reading.parameter)),
    ),
    keypad(take, [], { label: say("correct.value") }),
  );
}

async function save(line, reason, after) {
  const { reading } = state;
  const value = WORDS[reading.parameter] ? state.keys : kept(state.keys, formatLike(reading));
  state.saving = true;
  redraw();
  try {
    await correct(line, reading, { value, reason, unit: reading.unit });
    stopCorrecting();
    await after();
  } catch (error) {
    Object.assign(state, { error, saving: false });
  }
  redraw();
}
