/** Links for inspectors: made for a period and some hours, shown once, ended in one tap. */

import { get, post } from "../ground/api.js";
import { h } from "../ground/dom.js";
import { redraw } from "../ground/store.js";
import { day, fromLocal, isoDay, stamp, when } from "../ground/time.js";
import { say } from "../ground/words.js";
import { choice, key } from "./key.js";
import { problem } from "./problem.js";

const DAY = 24 * 3600_000;
const HOURS = ["24", "72", "168"];

const fresh = () => ({ links: null, from: "", to: "", hours: "", made: null, copied: false, error: null });
let state = fresh();

/** Forget what was shown, as when somebody else comes to the page. */
export function dropLinks() {
  state = fresh();
}

async function run(work) {
  try {
    state.error = null;
    await work();
  } catch (error) {
    state.error = error;
  }
  redraw();
}

async function load() {
  state.links = (await get("/inspections")).links;
}

export function linksPart() {
  const unfold = (event) => {
    if (event.currentTarget.parentElement.open || state.links) return;
    Object.assign(state, { from: isoDay(Date.now() - 365 * DAY), to: isoDay(Date.now()) });
    run(load);
  };
  return h(
    "details",
    { class: "fold", "data-key": "links" },
    h("summary", { onclick: unfold }, say("links.title")),
    problem(state.error),
    state.made && shownOnce(),
    h("div", { class: "filter" }, dateField("from"), dateField("to")),
    choice(say("links.hours"), HOURS.map((id) => [id, say(`links.hours.${id}`)]), state.hours, setHours, { name: "hours" }),
    key(say("links.make"), () => run(make), { kind: "main", disabled: state.hours === "", "data-key": "make" }),
    list(),
  );
}

function setHours(hours) {
  state.hours = hours;
  redraw();
}

function dateField(name) {
  const onchange = (event) => {
    if (event.target.value) state[name] = event.target.value;
  };
  return h("label", {}, say(`links.${name}`), h("input", { type: "date", value: state[name], onchange }));
}

async function make() {
  const from = stamp(fromLocal(state.from, "00:00"));
  const to = stamp(fromLocal(isoDay(fromLocal(state.to, "12:00") + DAY), "00:00"));
  state.made = await post("/inspections", { from, to, hours: Number(state.hours) });
  state.copied = false;
  await load();
}

function shownOnce() {
  const address = `${location.origin}/#/inspection/${state.made.token}`;
  const copy = () =>
    run(async () => {
      await navigator.clipboard.writeText(address);
      state.copied = true;
    });
  return h(
    "div",
    { class: "panel", "data-key": "made" },
    h("p", { role: "status" }, say("links.made", { expires: when(state.made.expires) })),
    h("p", { class: "link-text" }, address),
    key(say(state.copied ? "links.copied" : "links.copy"), copy, { "data-key": "copy" }),
  );
}

function list() {
  if (state.links === null) return null;
  if (state.links.length === 0) return h("p", {}, say("links.none"));
  return h("ul", { class: "items" }, state.links.map(linkRow));
}

function linkRow(row) {
  const period = say("links.period", { from: day(row.since), to: day(Date.parse(row.until) - 1) });
  const end = async () => {
    await post("/inspections/end", { link: row.link });
    await load();
  };
  return h(
    "li",
    { "data-key": row.link },
    h("span", {}, row.opens ? say("links.expires", { period, expires: when(row.expires) }) : say("links.gone", { period })),
    row.opens && key(say("links.end"), () => run(end), { kind: "small", "aria-label": say("links.end-this", row) }),
  );
}
