/** A sign for the public: this pool is closed, in the site's languages side by side, with no network and no names. */

import { LANGUAGES } from "../ground/choices.js";
import { h } from "../ground/dom.js";
import { here, poolName, redraw } from "../ground/store.js";
import { catalogueOf, say } from "../ground/words.js";
import { posted } from "../offline/closures.js";
import { hasView, heed, now as nowHere } from "../offline/view.js";
import { choice, key, keyLink, message } from "../part/key.js";
import { problem } from "../part/problem.js";
import { isPool, whichPool } from "../part/whichpool.js";

/** What a house stop is called before the public. */
const OF_STOP = {
  "bottom-not-seen": "sight",
  "bottom-cannot-tell": "sight",
  stool: "dirt",
  vomit: "dirt",
  blood: "dirt",
  glass: "danger",
  spill: "danger",
  "smell-or-gas": "danger",
  "drain-cover": "danger",
  "hot-pool": "danger",
  lightning: "lightning",
  "circulation-stopped": "plant",
  "disinfectant-none": "water",
  "disinfectant-over-range": "water",
};
const OF_REASON = { rules: "water", laboratory: "laboratory", plant: "plant", staff: "staff" };
const REASONS = ["closed", "water", "sight", "dirt", "danger", "lightning", "plant", "laboratory", "staff", "hours"];

const state = { pool: "", chosen: new Set(Object.keys(LANGUAGES)), reason: "", words: {}, posted: false, error: null };

export const kind = "sign-page";
export const title = () => (isPool(state.pool) ? say("sign.title", { pool: poolName(state.pool) }) : say("sign.key"));

export async function enter(query) {
  Object.assign(state, { pool: query.get("pool") ?? "", reason: "", posted: false, error: null });
  if (hasView()) here.now = nowHere();
  for (const one of Object.keys(LANGUAGES)) state.words[one] ??= await catalogueOf(one).catch(() => null);
  await heed();
}

export function tree() {
  if (here.now !== null && !isPool(state.pool)) return whichPool(title(), "/sign");
  const row = here.now?.pools.find((one) => one.pool === state.pool);
  if (!row) return message(say("frame.waiting"));
  if (row.status === "open") return [h("p", { class: "large" }, say("sign.open", { pool: row.name })), keyLink(say("page.now"), "/")];
  const reason = state.reason || reasonOf(row);
  return h("div", { class: "sign-and-keys", "data-key": "sign" }, keys(row, reason), sign(row, reason));
}

/** Why, in the words for the public; what somebody typed stays inside, for it may hold names. */
export function reasonOf(row) {
  const [stop] = row.stops;
  if (stop) return OF_STOP[stop.id] ?? "danger";
  if (row.samples.some((one) => !one.verdict.startsWith("meets"))) return "laboratory";
  if (row.status === "shut" || row.status === "unknown") return "hours";
  const own = row.closures.at(-1)?.reason ?? row.reason;
  const usual = Object.keys(OF_REASON).find((id) => Object.values(state.words).some((words) => words?.[`reason.${id}`] === own));
  return usual ? OF_REASON[usual] : "closed";
}

function keys(row, reason) {
  const toggle = (one) => () => {
    if (state.chosen.has(one) && state.chosen.size > 1) state.chosen.delete(one);
    else state.chosen.add(one);
    redraw();
  };
  const choose = (id) => {
    state.reason = id;
    redraw();
  };
  return h(
    "div",
    { class: "poster-keys" },
    h("h1", {}, title()),
    h(
      "div",
      { class: "keys" },
      key(say("sign.print"), () => print(), { kind: "main", "data-key": "print" }),
      standing(row) && !state.posted && key(say("closure.posted"), () => put(row), { "data-key": "posted" }),
      keyLink(say("page.now"), "/"),
    ),
    problem(state.error),
    h(
      "fieldset",
      { class: "choice", "data-key": "languages" },
      h("legend", {}, say("sign.languages")),
      h(
        "div",
        { class: "keys" },
        Object.entries(LANGUAGES).map(([one, name]) =>
          key(name, toggle(one), { "aria-pressed": state.chosen.has(one) ? "true" : "false", "data-key": one }),
        ),
      ),
    ),
    choice(say("reason.legend"), REASONS.map((id) => [id, say(`sign.reason.${id}`)]), reason, choose, { name: "reason" }),
  );
}

/** What the sign is about on the record: the closing, or the house stop. */
function standing(row) {
  return row.closures.at(-1)?.entry ?? row.stops[0]?.entry;
}

async function put(row) {
  try {
    await posted(row.pool, standing(row), [...state.chosen]);
    Object.assign(state, { posted: true, error: null });
  } catch (error) {
    state.error = error;
  }
  redraw();
}

function sign(row, reason) {
  const shown = Object.keys(LANGUAGES).filter((one) => state.chosen.has(one) && state.words[one]);
  const ordered = row.closures.some((one) => one.by_order && one.lifted === null);
  return h(
    "section",
    { class: `poster poster-of-${shown.length}`, "aria-label": title() },
    h("p", { class: "poster-pool" }, row.name),
    h(
      "div",
      { class: "poster-columns" },
      shown.map((one) => column(one, row, reason, ordered)),
    ),
    h("p", { class: "poster-site" }, here.now.site.demo ? `${here.now.site.name} · ${say("frame.demo")}` : here.now.site.name),
  );
}

function column(one, row, reason, ordered) {
  const words = state.words[one];
  const since = row.since ? words["sign.since"].replace("{at}", inWords(row.since, one)) : "";
  return h(
    "div",
    { class: "poster-column", lang: one, "data-key": one },
    h("p", { class: "poster-closed" }, words["sign.closed"]),
    h("p", { class: "poster-out" }, words["sign.out"]),
    h("p", { class: "poster-reason" }, words[`sign.reason.${reason}`]),
    ordered && h("p", { class: "poster-order" }, words["sign.order"]),
    since && h("p", { class: "poster-since" }, since),
    h("p", { class: "poster-ask" }, words["sign.ask"]),
  );
}

/** "25 November 2026, 05:51" on the site's clock, in a language of the sign. */
function inWords(instant, one) {
  const options = { dateStyle: "long", timeStyle: "short", hourCycle: "h23", timeZone: here.now.site.timezone };
  return new Intl.DateTimeFormat(one === "en" ? "en-GB" : one, options).format(new Date(instant));
}

