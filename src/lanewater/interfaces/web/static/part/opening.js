/** Opening, closing, ending a house stop: a named person decides, with a PIN and a reason. */

import { post } from "../ground/api.js";
import { h } from "../ground/dom.js";
import { here, may, redraw } from "../ground/store.js";
import { when } from "../ground/time.js";
import { say, sayOr } from "../ground/words.js";
import { deciders } from "./call.js";
import { key } from "./key.js";
import { newPin, pinPad } from "./pin.js";
import { problem } from "./problem.js";
import { reasonField } from "./reason.js";
import { who } from "./sentence.js";

const state = { pool: "", what: "", reason: "", kind: "", pin: newPin(), error: null };

const CHIPS = {
  open: ["tested-again", "authority", "manager-accepts"],
  close: ["rules", "incident", "plant", "staff"],
};
/** How a house stop usually ends; it depends on what it was. */
const ENDS = {
  "bottom-not-seen": ["bottom-seen-now"],
  "bottom-cannot-tell": ["bottom-seen-now"],
  stool: ["cleared-up"],
  vomit: ["cleared-up"],
  blood: ["cleared-up"],
  glass: ["cleared-up"],
  spill: ["cleared-up"],
  "disinfectant-none": ["repeat-done"],
  "disinfectant-over-range": ["repeat-done"],
};
const DECISION = { open: "open", close: "close", end: "end-house-stop" };

/** What a person who may could do with this pool now. */
function choices(row) {
  if (row.status === "everyone-out") return ["end"];
  return row.status === "open" ? ["close"] : ["open"];
}

export function openingKeys(row) {
  return choices(row).map((what) => {
    if (may(DECISION[what]) !== "yes") return null;
    const start = () => {
      const same = state.pool === row.pool && state.what === what;
      Object.assign(state, { pool: same ? "" : row.pool, what, reason: "", kind: "", error: null });
      state.pin = newPin();
      redraw();
    };
    return key(say(`opening.${what}`, { pool: row.name }), start, {
      "aria-expanded": state.pool === row.pool ? "true" : "false",
      "data-key": what,
    });
  });
}

/** Who opens, where the person here may not; said once for all lanes. */
export function whoMayOpen(rows) {
  if (may("open") === "yes" || rows.every((row) => row.status === "open")) return null;
  const words = deciders().length ? say("opening.nobody-here") : say("call.none");
  return h("p", { class: "people", "data-key": "who-opens" }, words);
}

export function openingPanel(row, after) {
  if (state.pool !== row.pool) return null;
  const never = state.what === "open" && row.opening.may === "never";
  return h(
    "section",
    { class: "panel", "data-key": "opening", "aria-label": say(`opening.${state.what}`, { pool: row.name }) },
    state.what === "open" && row.opening.why.length > 0 && reasons(row),
    problem(state.error),
    !never && [
      state.what === "close" && kinds(),
      needsReason(row) && reasonField(state, state.what === "end" ? endings(row) : CHIPS[state.what]),
      state.what === "close"
        ? key(say("opening.close", { pool: row.name }), () => decide(row, after, {}), { kind: "main" })
        : [
            h("p", {}, say("opening.pin", { name: here.me.name })),
            pinPad(state.pin, say(`opening.${state.what}`, { pool: row.name }), (pin) =>
              decide(row, after, { pin }),
            ),
          ],
    ],
  );
}

function reasons(row) {
  return h(
    "div",
    { class: "why" },
    h("p", {}, say(row.opening.may === "never" ? "opening.never" : "opening.with-reason")),
    h(
      "ul",
      {},
      row.opening.why.map((id) => h("li", { "data-key": id }, whyWords(id, row))),
    ),
  );
}

function whyWords(id, row) {
  if (id === "round-not-verified" && row.round) {
    return say("why.round-not-verified", { by: who(row.round.by, here.now?.people), at: when(row.round.at) });
  }
  const [kind, stop] = id.split(":");
  return kind === "house-stop" ? say("why.house-stop", { stop: say(`stop.${stop}`) }) : sayOr(`why.${id}`, id);
}

/** The usual ends of the stops that stand here; a false alarm is always one. */
function endings(row) {
  const stops = row.open_actions.filter((one) => one.id === "house-stop").map((one) => one.stop);
  const fitting = stops.flatMap((stop) => ENDS[stop] ?? []);
  return [...new Set([...fitting, "false-alarm"])];
}

function needsReason(row) {
  if (state.what === "open") return row.opening.may === "reason";
  return state.what === "end" || state.kind === "closed";
}

function kinds() {
  return h(
    "div",
    { class: "keys" },
    ["closed", "shut"].map((kind) =>
      key(
        say(`opening.kind.${kind}`),
        () => {
          state.kind = kind;
          redraw();
        },
        { "aria-pressed": state.kind === kind ? "true" : "false", "data-key": kind },
      ),
    ),
  );
}

async function decide(row, after, { pin }) {
  const body = { ...(state.reason && { reason: state.reason }), ...(pin && { pin }) };
  try {
    if (state.what === "open") await post(`/pools/${row.pool}/open`, body);
    if (state.what === "close") await post(`/pools/${row.pool}/close`, { ...body, kind: state.kind });
    if (state.what === "end") await post(`/pools/${row.pool}/end-stop`, endBody(body));
    state.pool = "";
    await after();
  } catch (error) {
    state.error = error;
  }
  redraw();
}

function endBody(body) {
  return state.reason === say("reason.false-alarm") ? { ...body, false_alarm: true } : body;
}
