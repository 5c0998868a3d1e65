/** Now: a lane for each pool, what is due in order of time, and whom to call. */

import { h } from "../ground/dom.js";
import { here, redraw } from "../ground/store.js";
import { when } from "../ground/time.js";
import { say } from "../ground/words.js";
import { hasView, heed, now as nowHere } from "../offline/view.js";
import { callList } from "../part/call.js";
import { handoverNote, refreshHandover } from "../part/handover.js";
import { notHeard } from "../part/heard.js";
import { keyLink, message } from "../part/key.js";
import { lane } from "../part/lane.js";
import { actionSentence, isOwn } from "../part/action.js";
import { whoMayOpen } from "../part/opening.js";
import { dueSentence, dueWhy } from "../part/sentence.js";
import { standingFold } from "../part/standing.js";

const FRESH_MS = 15_000;
let timer = 0;

export const title = () => say("page.now");

export function enter() {
  clearInterval(timer);
  timer = setInterval(() => location.pathname === "/" && load(), FRESH_MS);
  // What is carried stands at once; what is newer comes when the server answers.
  if (hasView()) here.now = nowHere();
  load();
}

async function load() {
  await heed();
  await refreshHandover();
  redraw();
}

export function tree() {
  const now = here.now;
  if (now === null) return message(say(here.away ? "warn.away" : "frame.waiting"));
  return h(
    "div",
    { "data-key": "now" },
    h("h1", { class: "quiet" }, say("now.title", { at: when(now.now) })),
    notHeard(),
    now.pools.length === 0 && h("p", { class: "large" }, say("now.no-pools")),
    h(
      "ol",
      { class: "lanes" },
      now.pools.map((row) => lane(row, now.people, load)),
    ),
    whoMayOpen(now.pools),
    handoverNote(),
    h("h2", {}, say("now.due")),
    dueList(now),
    h("div", { class: "keys" }, keyLink(say("due.all"), "/due", { "data-key": "due" })),
    h("h2", {}, say("call.title")),
    callList(),
    standingFold(),
  );
}

function dueList(now) {
  const waiting = now.pools.flatMap((row) =>
    row.open_actions
      .filter((action) => isOwn(action, row))
      .map((action) => ({ at: action.until ?? "", row, text: actionSentence(action, row) })),
  );
  const tests = now.pools
    .filter((row) => row.due.at !== null)
    .map((row) => ({
      at: row.due.at,
      row,
      text: `${dueSentence(row.due)} ${dueWhy(row.due)}`,
    }));
  const rows = [...waiting, ...tests].sort((one, other) => (one.at < other.at ? -1 : 1));
  const never = now.pools.filter((row) => row.due.at === null);
  if (rows.length + never.length === 0) return h("p", {}, say("now.nothing-due"));
  return h(
    "ul",
    { class: "due" },
    rows.map(({ at, row, text }) =>
      h(
        "li",
        { "data-key": `${row.pool} ${text}` },
        h("b", { class: "at" }, at ? when(at) : say("now.at-once")),
        h("span", {}, `${row.name}. ${text}`),
      ),
    ),
    never.map((row) =>
      h(
        "li",
        { "data-key": row.pool },
        h("b", { class: "at" }, say("now.no-time")),
        h("span", {}, `${row.name}. ${dueSentence(row.due)}`),
      ),
    ),
  );
}
