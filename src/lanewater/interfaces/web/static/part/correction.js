/** Correct a reading in six taps: the reading, its digits, a reason, save. Both values stay. */

import { post } from "../ground/api.js";
import { h } from "../ground/dom.js";
import { redraw } from "../ground/store.js";
import { unitOf } from "../ground/unit.js";
import { say } from "../ground/words.js";
import { CIRCULATION, CLARITY } from "../round/fields.js";
import { formatOf, isPast, kept, numberTyped, press } from "../round/typing.js";
import { choice, key } from "./key.js";
import { keypad, typedKey } from "./keypad.js";
import { problem } from "./problem.js";
import { reasonField } from "./reason.js";
import { readingWords } from "./sentence.js";

const REASONS = ["mistyped", "misread", "wrong-box", "wrong-pool"];
const WORDS = { clarity: CLARITY, circulation: CIRCULATION };

let state = { round: "", reading: null, keys: "", reason: "", error: null };

export function stopCorrecting() {
  state = { round: "", reading: null, keys: "", reason: "", error: null };
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
    reasonField(state, REASONS),
    key(say("correct.save"), () => save(after), {
      kind: "main",
      disabled: state.keys === "" || state.reason === "",
      "data-key": "save",
    }),
  );
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
      shown,
      " ",
      h("small", {}, unitOf(reading.parameter)),
    ),
    keypad(take, [], { label: say("correct.value") }),
  );
}

async function save(after) {
  const { reading, reason, round } = state;
  const words = WORDS[reading.parameter];
  const body = {
    parameter: reading.parameter,
    value: words ? state.keys : kept(state.keys, formatLike(reading)),
    reason,
    ...(reading.point && { point: reading.point }),
    ...(reading.unit && { unit: reading.unit }),
  };
  try {
    await post(`/rounds/${round}/corrections`, body);
    stopCorrecting();
    await after();
  } catch (error) {
    state.error = error;
  }
  redraw();
}
