/** A newer text of the rules: what changes and for which pools; it holds once somebody accepts it. */

import { get, post } from "../ground/api.js";
import { h } from "../ground/dom.js";
import { may, poolName, redraw } from "../ground/store.js";
import { listed, say, sayOr } from "../ground/words.js";
import { heed } from "../offline/view.js";
import { comparison } from "../round/limits.js";
import { key } from "./key.js";
import { newPin, pinPad } from "./pin.js";
import { problem } from "./problem.js";

const MOST_SHOWN = 60;
const state = { waiting: [], open: "", pin: newPin(), error: null, accepted: "" };

/** Ask the server once the page is opened. */
export async function loadNewRules() {
  Object.assign(state, { open: "", pin: newPin(), error: null, accepted: "" });
  await ask();
  redraw();
}

async function ask() {
  state.waiting = (await get("/site/rules").catch(() => ({ waiting: [] }))).waiting;
}

export function newRulesPart() {
  if (state.waiting.length === 0 && !state.accepted) return null;
  return h(
    "section",
    { class: "panel", "data-key": "new-rules" },
    h("h2", {}, say("newrules.title")),
    state.waiting.length > 0 && h("p", {}, say("newrules.what")),
    state.accepted && h("p", { class: "large saved", role: "status" }, say("newrules.accepted", { rules: state.accepted })),
    problem(state.error),
    state.waiting.map(one),
  );
}

function one(row) {
  const name = `${row.rules} ${row.pool}`;
  return h(
    "div",
    { class: "rules-one", "data-key": name },
    h("p", {}, h("b", {}, row.title), row.pool && ` (${poolName(row.pool)})`),
    h("p", { class: "small" }, say("newrules.editions", { was: row.edition_was, now: row.edition })),
    row.status !== "reviewed" && h("p", { class: "people" }, say(`rules.status.${row.status}`)),
    row.unknown && h("p", {}, say("newrules.unknown")),
    h("ul", {}, row.changes.slice(0, MOST_SHOWN).map(change)),
    row.changes.length > MOST_SHOWN && h("p", {}, say("newrules.more", { count: row.changes.length - MOST_SHOWN })),
    row.may_be_accepted ? accepting(row, name) : refused(row),
  );
}

function change(row, index) {
  const pools = row.pools.length ? say("newrules.touches", { pools: listed(row.pools) }) : say("newrules.touches-none");
  return h("li", { "data-key": `${index}` }, h("b", {}, say(`newrules.${row.change}`)), ": ", said(row), " ", h("span", { class: "small" }, pools));
}

/** Numbers in the reader's language; what is more than a number is said in the words of the pack. */
function said(row) {
  const number = row.was_limit || row.now_limit;
  if (row.table !== "rule" || !number) return h("span", { lang: "en" }, row.text);
  const [was, now] = [limit(row, "was"), limit(row, "now")];
  const name = sayOr(`name.${row.parameter}`, row.parameter);
  return [`${name}: `, was && h("s", {}, was), was && now && " → ", now && h("b", {}, now), ` (${row.clause})`];
}

function limit(row, side) {
  const text = row[`${side}_limit`];
  return text && comparison({ comparison: row[`${side}_comparison`], limit: text });
}

function refused(row) {
  const historic = row.why_not === "historic";
  return h("p", { role: "alert" }, historic ? say("newrules.historic") : say("newrules.own-rules"), !historic && h("span", { lang: "en" }, ` ${row.why_not}`));
}

function accepting(row, name) {
  if (may("accept-rules") !== "yes") return h("p", {}, say("newrules.who"));
  if (state.open !== name) return key(say("newrules.accept"), () => open(name), { "data-key": "accept" });
  return [h("p", {}, say("newrules.pin")), pinPad(state.pin, say("newrules.accept"), (pin) => accept(row, pin))];
}

function open(name) {
  Object.assign(state, { open: name, pin: newPin(), error: null });
  redraw();
}

async function accept(row, pin) {
  try {
    const sent = { rules: row.rules, hash: row.hash, pin, ...(row.pool && { pool: row.pool }) };
    await post("/site/rules/accept", sent);
    Object.assign(state, { open: "", error: null, accepted: row.rules });
    await Promise.all([ask(), heed()]);
  } catch (error) {
    state.error = error;
  }
  redraw();
}
