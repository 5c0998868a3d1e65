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
import { disagreement, inTheWay, settleBody, settleChoice } from "./settle.js";

const state = { pool: "", what: "", reason: "", kind: "", pin: newPin(), error: null };

const CHIPS = {
  open: ["tested-again", "authority", "manager-accepts"],
  close: ["rules", "incident", "plant", "staff"],
  settle: ["asked-both", "went-to-look"],
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
const DECISION = { open: "open", close: "close", end: "end-house-stop", settle: "open" };

/** What a person who may could do with this pool now. */
function choices(row) {
  const settle = disagreement(row) ? ["settle"] : [];
  if (row.status === "everyone-out") return ["end", ...settle];
  if (settle.length) return settle;
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
      "aria-expanded": state.pool === row.pool && state.what === what ? "true" : "false",
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
  const asOpen = state.what === "settle" && state.kind === "open";
  const never = state.what === "open" ? row.opening.may === "never" : asOpen && inTheWay(row).length > 0;
  return h(
    "section",
    { class: "panel", "data-key": "opening", "aria-label": say(`opening.${state.what}`, { pool: row.name }) },
    state.what === "settle" && settleChoice(state),
    state.what === "open" && row.opening.why.length > 0 && reasons(row, row.opening.why, openingWords(row)),
    asOpen && never && reasons(row, inTheWay(row), say("settle.blocked")),
    problem(state.error),
    !never && !(state.what === "settle" && state.kind === "") && [
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

function openingWords(row) {
  return say(row.opening.may === "never" ? "opening.never" : "opening.with-reason");
}

function reasons(row, ids, words) {
  return h(
    "div",
    { class: "why" },
    h("p", {}, words),
    h(
      "ul",
      {},
      ids.map((id) => h("li", { "data-key": id }, whyWords(id, row))),
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
  return state.what !== "close" || state.kind === "closed";
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
    if (state.what === "settle") await post(`/pools/${row.pool}/settle`, settleBody(row, state, body));
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
