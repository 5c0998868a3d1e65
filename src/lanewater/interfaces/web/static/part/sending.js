/** What is not on the record yet, in words, on every page: how much, since when, and what stands against it. */

import { h } from "../ground/dom.js";
import { here } from "../ground/store.js";
import { when } from "../ground/time.js";
import { goOn } from "../ground/witness.js";
import { say, sayOr } from "../ground/words.js";
import { goOnSending } from "../offline/push.js";
import { hurry, sending } from "../offline/sync.js";
import { key } from "./key.js";

/** What is sent within so long needs no word. */
const SOON_MS = 5_000;
const MINUTE_MS = 60_000;
const HOUR_MINUTES = 60;
const DAY_MINUTES = 1_440;
/** What a person may decide to go on from, once it was explained. */
const CAN_GO_ON = ["ahead", "other-history"];

/** "42 min", "3 h 5 min", "2 d 4 h": how old something is. @param {number} ms */
export function age(ms) {
  const minutes = Math.max(0, Math.floor(ms / MINUTE_MS));
  if (minutes < HOUR_MINUTES) return say("age.minutes", { minutes });
  if (minutes < DAY_MINUTES) {
    return say("age.hours", { hours: Math.floor(minutes / HOUR_MINUTES), minutes: minutes % HOUR_MINUTES });
  }
  const days = Math.floor(minutes / DAY_MINUTES);
  return say("age.days", { days, hours: Math.floor((minutes % DAY_MINUTES) / HOUR_MINUTES) });
}

/** What everybody must know of what is not on the record; an empty list where all is. */
export function sendingNotes(now = Date.now()) {
  return [waiting(now), aside(), trouble()].filter(Boolean);
}

function waiting(now) {
  const count = sending.waiting - sending.aside;
  const old = sending.oldest ? now - Date.parse(sending.oldest) : 0;
  if (count <= 0 || (old < SOON_MS && !here.away)) return null;
  return h(
    "p",
    { class: "warning", role: "alert", "data-key": "unsent" },
    h("span", {}, here.away && `${say("error.unreachable")} `, say("sending.waiting", { count, age: age(old) })),
  );
}

function aside() {
  if (sending.aside === 0) return null;
  return h(
    "div",
    { class: "warning", role: "alert", "data-key": "unsent-aside" },
    h("span", {}, say("sending.aside", { count: sending.aside })),
    h(
      "ul",
      {},
      sending.refused.map((one) =>
        h("li", { "data-key": one.id }, say("sending.refused", { at: when(one.at), what: what(one), why: say(`refused.${one.why}`) })),
      ),
    ),
  );
}

function what({ kind, pool }) {
  const name = here.site?.pools?.find((one) => one.pool === pool)?.name ?? pool;
  return say(`sent.${kind}`, { pool: name });
}

function trouble() {
  if (!sending.trouble) return null;
  const canGoOn = CAN_GO_ON.includes(sending.trouble) && here.witness === null;
  return h(
    "div",
    { class: "warning", role: "alert", "data-key": "unsent-trouble" },
    h(
      "span",
      {},
      sayOr(`trouble.${sending.trouble}`, say("trouble.other")),
      canGoOn && key(say("witness.go-on"), goOnAnyway),
    ),
  );
}

async function goOnAnyway() {
  await goOn();
  await goOnSending();
  hurry();
}
