/** What an inspector reads by a link: what was not met first, then what is missing, then all. */

import { fileByLink, getByLink } from "../ground/api.js";
import { h } from "../ground/dom.js";
import { linkToken } from "../ground/router.js";
import { redraw } from "../ground/store.js";
import { day, fromLocal, isoDay, setZone, stamp, when } from "../ground/time.js";
import { say } from "../ground/words.js";
import { failureList, gapList, inNumbers } from "../part/inspectfound.js";
import { poolTable } from "../part/inspectlines.js";
import { key, message } from "../part/key.js";
import { problem } from "../part/problem.js";

const HOURS_36 = 36 * 3600_000;

const state = { token: "", from: "", to: "", pool: "", told: null, words: null, error: null, busy: false };

export const title = () => say("inspect.title");
export const kind = "inspection";

export async function enter() {
  if (state.token !== linkToken()) {
    Object.assign(state, { token: linkToken(), from: "", to: "", pool: "", told: null });
  }
  await run(load);
}

async function run(work) {
  Object.assign(state, { busy: true, error: null });
  redraw();
  try {
    await work();
  } catch (error) {
    state.error = error;
    if (error.id === "link") state.told = null;
  }
  state.busy = false;
  redraw();
}

async function load() {
  const told = await getByLink(state.token, "/inspection", asked());
  setZone(told.timezone);
  const { since, until } = told.shown;
  Object.assign(state, { told, from: isoDay(since), to: isoDay(Date.parse(until) - 1) });
  state.words = {
    expires: when(told.expires),
    first: day(told.since),
    last: day(Date.parse(told.until) - 1),
  };
}

/** The stretch that is asked for, in whole days of the site, never past the ends of the link. */
function asked() {
  const { told, pool } = state;
  if (told === null) return { pool };
  setZone(told.timezone);
  const since = state.from ? stamp(fromLocal(state.from, "00:00")) : told.since;
  const end = state.to ? fromLocal(isoDay(fromLocal(state.to, "00:00") + HOURS_36), "00:00") : told.until;
  const until = stamp(end);
  return {
    pool,
    from: since < told.since ? told.since : since,
    to: until > told.until ? told.until : until,
  };
}

export function tree() {
  const { told } = state;
  if (told === null) {
    if (state.error === null) return message(say("frame.waiting"));
    return h("div", { "data-key": "inspection" }, h("h1", {}, say("inspect.title")), problem(state.error));
  }
  return h(
    "div",
    { "data-key": "inspection", "aria-busy": state.busy ? "true" : "false" },
    h("h1", {}, say("inspect.of", { site: told.site, period: told.period })),
    h("p", { class: "quiet" }, say("inspect.what", { asof: told.as_of, size: told.size, ...state.words })),
    filter(),
    problem(state.error),
    inNumbers(told.pools),
    failureList(told.pools),
    gapList(told.pools),
    told.pools.map(poolTable),
    behind(told),
  );
}

function filter() {
  const { told } = state;
  const onsubmit = (event) => {
    event.preventDefault();
    const typed = new FormData(event.currentTarget);
    Object.assign(state, { from: typed.get("from"), to: typed.get("to"), pool: typed.get("pool") });
    run(load);
  };
  const least = isoDay(told.since);
  const most = isoDay(Date.parse(told.until) - 1);
  const date = (name, value) =>
    h("label", {}, say(`inspect.${name}`), h("input", { type: "date", name, value, min: least, max: most, required: true }));
  return h(
    "form",
    { class: "filter", onsubmit, "data-key": "filter" },
    date("from", state.from),
    date("to", state.to),
    h(
      "label",
      {},
      say("record.pool"),
      h(
        "select",
        { name: "pool" },
        h("option", { value: "" }, say("record.all-pools")),
        told.pools_all.map((one) => h("option", { value: one.pool, selected: one.pool === state.pool }, one.name)),
      ),
    ),
    h("button", { class: "key key-main" }, say("inspect.show")),
    key(say(state.busy ? "inspect.making" : "inspect.download"), () => run(download), {
      disabled: state.busy,
      "data-key": "download",
    }),
  );
}

async function download() {
  const file = await fileByLink(state.token, "/inspection/sheet", asked());
  const address = URL.createObjectURL(file);
  h("a", { href: address, download: `record-${state.from}-${state.to}.pdf` }).click();
  setTimeout(() => URL.revokeObjectURL(address), 60_000);
}

/** Who and what stands behind the lines, and how to read and check them. */
function behind(told) {
  const fold = (id, rows) =>
    rows.length > 0 &&
    h(
      "details",
      { class: "fold", "data-key": id },
      h("summary", {}, say(`inspect.${id}`)),
      h("ul", {}, rows.map((row) => h("li", {}, row))),
    );
  return h(
    "section",
    { "data-key": "behind", "aria-label": say("inspect.behind") },
    h("h2", {}, say("inspect.behind")),
    fold("people", told.people.map((row) => row.join(": "))),
    fold("devices", told.devices.map((row) => row.join(", "))),
    fold("kits", told.kits.map((row) => row.filter(Boolean).join(", "))),
    fold("others", told.others.map((row) => `${row.at} ${row.text} (${row.by})`)),
    fold("explained", told.explained),
    told.stamp &&
      h(
        "details",
        { class: "fold", "data-key": "stamp" },
        h("summary", {}, say("inspect.stamp")),
        h("p", {}, say("inspect.stamp-what")),
        h("pre", { class: "stamp-text", tabindex: 0 }, told.stamp),
      ),
  );
}
