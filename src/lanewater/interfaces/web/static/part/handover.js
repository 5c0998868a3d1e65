/**
 * The handover on this device: written here from what is carried and what was done here since, network
 * or none. It is read, and taken over by name.
 */

import * as kernel from "../generated/kernel.js";
import { post } from "../ground/api.js";
import { h } from "../ground/dom.js";
import { here } from "../ground/store.js";
import { stamp, when } from "../ground/time.js";
import { say, sayOr } from "../ground/words.js";
import { carried } from "../offline/carry.js";
import { ownDevice } from "../offline/device.js";
import { entriesAfter, record, unsent, whyNot } from "../offline/outbox.js";
import { actingNow } from "../offline/who.js";
import { fromKernel, toKernel } from "../strict.js";
import { actionSentence } from "./action.js";
import { keyLink } from "./key.js";
import { who } from "./sentence.js";

/** @type {any} */
let read = null;

/** What is handed over now, null before it was worked out. */
export const handed = () => read;

/** Work it out from the lanes that the page shows. */
export async function refreshHandover() {
  const carry = carried();
  if (carry === null || here.now === null) return;
  const signs = ownDevice() !== null;
  const own = signs ? await entriesAfter(carry).catch(() => []) : [];
  const waiting = signs ? await unsent().catch(() => []) : [];
  read = writtenHere(carry.handover, own.map((one) => one.entry), waiting.length);
}

function writtenHere(facts, own, waiting) {
  const now = Date.now();
  const acts = own.map((entry) => ({ by: entry.user, at: secondsOf(entry.at) }));
  const answer = kernel.handover(
    toKernel({
      now: Math.floor(now / 1000),
      person: here.me?.person ?? "",
      listed: facts.listed,
      rows: here.now.pools,
      rounds: Object.fromEntries(here.now.pools.map((row) => [row.pool, roundsOf(facts, row)])),
      acts: [...facts.acts, ...acts],
      unsent: waiting,
    }),
  );
  const mine = own.filter((entry) => entry.type === "handover-acknowledged").pop();
  const taken = mine ? { by: mine.user, at: mine.at } : facts.taken;
  return { made: stamp(now), ...fromKernel(answer), taken };
}

const secondsOf = (instant) => Math.floor(Date.parse(instant) / 1000);

/** The rounds that were carried, and the lane's own where it was taken since. */
function roundsOf(facts, row) {
  const held = facts.rounds[row.pool] ?? [];
  const at = row.round ? secondsOf(row.round.at) : 0;
  if (!row.round || (held.length && held[held.length - 1].at >= at)) return held;
  const readings = row.round.readings.map(({ parameter, value, unit, point, dilution, at: taken }) =>
    fromKernel(
      kernel.normal_reading(
        toKernel({ parameter, value, unit: unit ?? "", point: point ?? "", dilution: dilution ?? 1, at: secondsOf(taken), kit: "" }),
        null,
      ),
    ),
  );
  const findings = (row.verdict?.findings ?? []).map((one) => ({ parameters: [], ...one }));
  return [...held, { at, readings, doubtful: fromKernel(kernel.doubtful_parameters(toKernel(findings))) }];
}

/** Take over: on this device's own record where it signs, else through the server. */
export async function takeOver() {
  const body = { made: read.made, open: read.marks, ...(read.more > 0 && { more: read.more }) };
  const signs = (await whyNot()) === "" && actingNow().auth.method === "pin";
  if (signs) await record("handover-acknowledged", body);
  else await post("/handover/acknowledge", body);
  await refreshHandover();
  // What this device keeps is said at once; the record may hear of it later.
  read = { ...read, asked: false, taken: { by: here.me?.person ?? "", at: stamp(Date.now()) } };
}

/** On Now: where others worked since, the handover is offered; a site of one person is left alone. */
export function handoverNote() {
  if (read === null || read.alone || here.now === null) return null;
  const words = read.open === 0 ? "" : say(read.open === 1 ? "handover.one-open" : "handover.open", { count: read.open });
  return h(
    "section",
    { class: read.asked ? "handover-note asked" : "handover-note", "data-key": "handover" },
    read.asked && h("p", { class: "people" }, say("handover.asked")),
    h("p", {}, words, " ", takenWords(read)),
    keyLink(say("handover.read"), "/handover", { "data-key": "read" }),
  );
}

/** Who read it last, and when. */
export function takenWords({ taken }) {
  if (!taken) return "";
  return say("handover.taken", { by: who(taken.by, here.now?.people), at: when(taken.at) });
}

/** One thing that is open, as a sentence to be read aloud. @param {any} item @param {any} row the pool's lane */
export function itemSentence(item, row) {
  const { detail } = item;
  if (item.id === "closed") {
    const reason = (detail.reason ?? "").replace(/^house stop: /, "");
    const values = { since: detail.since ? when(detail.since) : "", by: detail.by ? who(detail.by, here.now?.people) : "", reason: sayOr(`stop.${reason}`, reason) };
    return say("handover.closed", values);
  }
  if (item.id === "overdue") return say("handover.overdue", { at: detail.due.at ? when(detail.due.at) : "" });
  if (item.id === "marked") return say("handover.marked", { mark: sayOr(`mark.${detail.mark}`, detail.mark) });
  const own = sayOr(`handover.${item.id}`, "");
  if (own) return own;
  if (!sayOr(`action.${item.id}`, "")) return say("handover.other", { id: item.id });
  return actionSentence({ ...detail, id: item.id }, row);
}

/** "Free is falling: 1.20 now, 0.75 less in 21 hours." */
export function trendSentence(trend) {
  return say(`handover.trend.${trend.way}`, { ...trend, name: say(`short.${trend.parameter}`) });
}
