/** Handover: what the next shift must know, pool by pool, to be read aloud and taken over by name. */

import { h } from "../ground/dom.js";
import { here, redraw } from "../ground/store.js";
import { when } from "../ground/time.js";
import { say } from "../ground/words.js";
import { hasView, heed, now as nowHere } from "../offline/view.js";
import { handed, itemSentence, refreshHandover, takeOver, takenWords, trendSentence } from "../part/handover.js";
import { key, keyLink, message } from "../part/key.js";
import { problem } from "../part/problem.js";
import { dueSentence, mainReading, otherReadings, resultSentence, statusSentence } from "../part/sentence.js";

const state = { busy: false, done: false, error: null };

export const title = () => say("page.handover");

export async function enter() {
  Object.assign(state, { busy: false, done: false, error: null });
  // What is carried stands at once; what is newer comes when the server answers.
  if (hasView()) here.now = nowHere();
  await refreshHandover();
  load();
}

async function load() {
  await heed();
  await refreshHandover();
  redraw();
}

export function tree() {
  const read = handed();
  if (read === null || here.now === null) return message(say(here.away ? "warn.away" : "frame.waiting"));
  return h(
    "div",
    { class: "handover", "data-key": "handover" },
    h("h1", {}, say("handover.title")),
    h("p", { class: "quiet" }, say("handover.made", { at: when(read.made), site: here.now.site.name }), " ", takenWords(read)),
    read.open > 0 && h("p", { class: "say" }, say(read.open === 1 ? "handover.one-open" : "handover.open", { count: read.open })),
    read.unsent > 0 && h("p", { class: "say" }, say("handover.unsent", { count: read.unsent })),
    read.pools.map(poolPart),
    taking(read),
    key(say("handover.print"), () => print(), { "data-key": "print" }),
  );
}

function poolPart(pool) {
  const row = here.now.pools.find((one) => one.pool === pool.pool);
  if (row === undefined) return null;
  // Why it is closed stands among what is open, and is read once.
  const closed = pool.items.some((item) => item.id === "closed");
  return h(
    "section",
    { class: "handed", "data-key": pool.pool },
    h("h2", {}, pool.name),
    h("p", { class: "say" }, !closed && statusSentence(row, here.now.people), " ", mainReading(row.round), " ", row.stale ? say("now.not-known") : resultSentence(row)),
    row.round && h("p", { class: "small" }, otherReadings(row.round)),
    pool.items.length === 0 && h("p", {}, say("handover.nothing")),
    h(
      "ul",
      { class: "handed-items" },
      pool.items.map((item) => h("li", { "data-key": `${item.id} ${item.about}` }, itemSentence(item, row))),
    ),
    pool.trends.map((trend) => h("p", { "data-key": trend.parameter }, trendSentence(trend))),
    !row.due.late && h("p", {}, dueSentence(row.due)),
  );
}

/** Taken over by somebody on the list; nobody has to. */
function taking(read) {
  if (state.done) return h("p", { class: "say", role: "status" }, takenWords(read));
  if (!here.me?.person) return keyLink(say("handover.sign-in"), "/sign-in", { kind: "main", "data-key": "sign-in" });
  return [
    problem(state.error),
    key(say("handover.take", { name: here.me.name }), take, { kind: "main", disabled: state.busy, "data-key": "take" }),
  ];
}

async function take() {
  Object.assign(state, { busy: true, error: null });
  redraw();
  try {
    await takeOver();
    state.done = true;
  } catch (error) {
    state.error = error;
  }
  state.busy = false;
  redraw();
}
