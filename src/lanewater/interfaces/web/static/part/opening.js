/** Opening, closing, ending a house stop: a named person decides, with a PIN and a reason. */

import { h } from "../ground/dom.js";
import { here, may, redraw } from "../ground/store.js";
import { when } from "../ground/time.js";
import { listed, say, sayOr } from "../ground/words.js";
import { close } from "../offline/closures.js";
import { confirm, endStop, open, settle } from "../offline/local.js";
import { mayOpen } from "../offline/view.js";
import { actingNow } from "../offline/who.js";
import { callCard, whoToCall } from "./call.js";
import { closingBody, closingForm, closingSaid, newClosing } from "./closing.js";
import { key, phone } from "./key.js";
import { newPin, pinPad } from "./pin.js";
import { problem } from "./problem.js";
import { reasonField } from "./reason.js";
import { allSeenTo, criteria, reopeningWhy } from "./reopening.js";
import { overallShown, roundWords, who } from "./sentence.js";
import { disagreement, inTheWay, settleBody, settleChoice } from "./settle.js";

const state = { pool: "", what: "", reason: "", kind: "", word: "", closing: newClosing(), confirmed: new Set(), pin: newPin(), error: null };

const CHIPS = {
  open: ["tested-again", "authority", "manager-accepts"],
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
const OPENS = ["open", "standing", "telephone"];

/** What the person here could do with this pool now. */
function choices(row) {
  const confirming = toConfirm(row) ? ["confirm"] : [];
  const settling = disagreement(row) ? ["settle"] : [];
  // What an incident stopped ends with the incident.
  if (row.open_actions.some((one) => one.id === "incident")) return [...confirming, ...settling, "close"].filter(isTheirs);
  const usual = row.status === "everyone-out" ? ["end", ...settling] : settling.length ? settling : [row.status === "open" ? "" : "open"];
  return [...confirming, ...usual, "close"].map((what) => (what === "open" ? openingWay(row) : what)).filter((what) => what && isTheirs(what));
}

const isTheirs = (what) => !(what in DECISION) || may(DECISION[what]) === "yes";

/** How the person here may open a pool: by their own part, by standing permission, by telephone, or not. */
function openingWay(row) {
  if (may("open") === "yes") return "open";
  const how = here.me?.person ? mayOpen(row.pool)?.how : "nobody";
  return OPENS.includes(how) ? how : "";
}

/** An opening on the word of whoever is here, which they have not confirmed yet. */
function toConfirm(row) {
  return row.open_actions.find((one) => one.id === "confirm-opening" && one.person === here.me?.person);
}

export function openingKeys(row) {
  return choices(row).map((what) => {
    const start = () => {
      const same = state.pool === row.pool && state.what === what;
      Object.assign(state, { pool: same ? "" : row.pool, what, reason: "", kind: "", word: "", error: null });
      Object.assign(state, { closing: newClosing(), confirmed: new Set(), pin: newPin() });
      redraw();
    };
    return key(label(what, row), start, {
      "aria-expanded": state.pool === row.pool && state.what === what ? "true" : "false",
      "data-key": what,
    });
  });
}

function label(what, row) {
  // A pool that is closed may be closed for one more cause, such as an authority's order.
  if (what === "close" && ["closed", "everyone-out"].includes(row.status)) return say("opening.close-also", { pool: row.name });
  const words = { standing: "opening.open", telephone: "opening.by-telephone" }[what] ?? `opening.${what}`;
  return say(words, { pool: row.name });
}

/** Whom to call, where nobody here may open; said once for all lanes, with what to say of each. */
export function whoMayOpen(rows) {
  const shut = rows.filter((row) => !["open", "everyone-out"].includes(row.status) && openingWay(row) === "");
  if (may("open") === "yes" || shut.length === 0) return null;
  const known = whoToCall();
  return h(
    "section",
    { class: "people call-now", "data-key": "who-opens" },
    h("p", {}, known.length ? say("opening.nobody-call", { pools: listed(shut.map((row) => row.name)) }) : say("call.none")),
    callCard(known, shut.filter((row) => row.round).map(askToOpen)),
    !here.me?.person && h("p", { class: "small" }, say("opening.sign-in-first")),
  );
}

/** What to say of a pool to whoever may open it. */
function askToOpen(row) {
  const round = roundWords(row.name, row.round.readings, row.verdict && overallShown(row.verdict));
  return say("call.say.may-i-open", { round });
}

export function openingPanel(row, after) {
  if (state.pool !== row.pool || !choices(row).includes(state.what)) return null;
  return h(
    "section",
    { class: "panel", "data-key": "opening", "aria-label": label(state.what, row) },
    state.what === "telephone" ? telephone(row, after) : panel(row, after),
  );
}

function panel(row, after) {
  const asOpen = state.what === "settle" && state.kind === "open";
  const never = state.what === "open" ? row.opening.may === "never" : asOpen && inTheWay(row).length > 0;
  return [
    state.what === "settle" && settleChoice(state),
    state.what === "open" && row.opening.why.length > 0 && reasons(row, row.opening.why, openingWords(row)),
    state.what === "standing" && h("p", {}, say("opening.standing.what", { pool: row.name })),
    state.what === "confirm" && h("p", {}, say("opening.confirm.what", { at: when(row.since), by: who(row.by, here.now?.people) })),
    asOpen && never && reasons(row, inTheWay(row), say("settle.blocked")),
    opensPool(asOpen) && criteria(row, state.confirmed),
    problem(state.error),
    !never && !(state.what === "settle" && state.kind === "") && [
      state.what === "close" && closingForm(state.closing, row),
      needsReason(row) && reasonField(state, state.what === "end" ? endings(row) : CHIPS[state.what]),
      !isSaid(row, asOpen) ? null : needsPin()
        ? [
            h("p", {}, say("opening.pin", { name: here.me.name })),
            pinPad(state.pin, label(state.what, row), (pin) => decide(row, after, { pin })),
          ]
        : key(label("close", row), () => decide(row, after, {}), { kind: "main", "data-key": "close-now" }),
    ],
  ];
}

/** Whether what is decided opens the pool. */
function opensPool(asOpen) {
  return OPENS.includes(state.what) || asOpen;
}

/** Whether all is said that a decision rests on. */
function isSaid(row, asOpen) {
  if (state.what === "close") return closingSaid(state.closing);
  return !opensPool(asOpen) || allSeenTo(row, state.confirmed);
}

/** Closing takes no PIN where one was proved when signing in, here or by the server. */
function needsPin() {
  return state.what !== "close" || (here.away && !actingNow().grant);
}

/** Call, read out, hear a yes; then whoever took it opens with a PIN of their own. */
function telephone(row, after) {
  const known = whoToCall();
  return [
    problem(state.error),
    h("p", { class: "legend" }, say("opening.telephone.call")),
    h("p", { class: "say" }, `“${askToOpen(row)}”`),
    h("p", { class: "legend" }, say("opening.telephone.said")),
    h(
      "ul",
      { class: "call-list" },
      known.filter((one) => one.person).map((one) =>
        h("li", { "data-key": one.person }, h("span", {}, one.name), one.phone && phone(one.phone), yesKey(one)),
      ),
    ),
    criteria(row, state.confirmed),
    state.word && allSeenTo(row, state.confirmed) && [
      h("p", { class: "legend" }, say("opening.telephone.pin", { name: who(state.word, here.now?.people) })),
      h("p", {}, say("opening.own-pin", { name: here.me.name })),
      pinPad(state.pin, label("telephone", row), (pin) => decide(row, after, { pin })),
    ],
  ];
}

function yesKey(one) {
  const choose = () => {
    state.word = one.person;
    redraw();
  };
  return key(say("opening.telephone.yes", one), choose, {
    "aria-pressed": state.word === one.person ? "true" : "false",
    "data-key": "yes",
  });
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
  if (kind === "incident") return say("why.incident", { kind: say(`incident.kind.${stop}`) });
  if (kind === "house-stop") return say("why.house-stop", { stop: say(`stop.${stop}`) });
  return reopeningWhy(id, row) || sayOr(`why.${id}`, id);
}

/** The usual ends of the stops that stand here; a false alarm is always one. */
function endings(row) {
  const stops = row.open_actions.filter((one) => one.id === "house-stop").map((one) => one.stop);
  const fitting = stops.flatMap((stop) => ENDS[stop] ?? []);
  return [...new Set([...fitting, "false-alarm"])];
}

function needsReason(row) {
  if (state.what === "open") return row.opening.may === "reason";
  if (["standing", "confirm"].includes(state.what)) return false;
  return state.what !== "close";
}

async function decide(row, after, { pin }) {
  const given = { ...(state.reason && { reason: state.reason }), ...(pin && { pin }), confirmed: [...state.confirmed] };
  const panel = state.pin;
  try {
    await carryOut(row, given);
    // The lane is drawn anew before the answer is here: whoever began the next thing meanwhile keeps it.
    if (state.pin === panel) state.pool = "";
    state.error = null;
    await after();
  } catch (error) {
    state.error = error;
  }
  redraw();
}

function carryOut(row, { pin, ...said }) {
  const given = { ...said, ...(pin && { pin }) };
  switch (state.what) {
    case "open":
      return open(row, given);
    case "standing":
      return open(row, { ...given, standing: mayOpen(row.pool).standing });
    case "telephone":
      return open(row, { ...given, word_of: state.word });
    case "confirm":
      return confirm(row, { ...given, opening: toConfirm(row).about });
    case "close":
      return close(row, { ...(pin && { pin }), ...(state.closing.reason && { reason: state.closing.reason }), ...closingBody(state.closing, row) });
    case "settle":
      return settle(row, settleBody(row, state, given));
    default:
      return endStop(row, { ...given, falseAlarm: state.reason === say("reason.false-alarm") });
  }
}
