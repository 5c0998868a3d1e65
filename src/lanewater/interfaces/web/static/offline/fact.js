/** One fact as it goes on the record: what happened, when, who says so, and what was known then. */

import { uuid7 } from "../ground/id.js";
import { here } from "../ground/store.js";
import { stamp } from "../ground/time.js";
import { heldStamp } from "../ground/witness.js";
import { NotKept } from "./base.js";
import { inProfile } from "./canonical.js";
import { carried } from "./carry.js";
import { clockSaid } from "./clock.js";
import { ownDevice } from "./device.js";
import { actingNow } from "./who.js";

const MINUTE_MS = 60_000;
/** What only a person whose PIN was proved may say; it cannot be said again without that proof. */
export const DECISIONS = [
  "pool-opened",
  "pool-closed",
  "house-stop-ended",
  "opening-settled",
  "opening-confirmed",
  "closure-lifted",
  "incident-route-chosen",
  "incident-ended",
  "addition-started",
  "advice-given",
  "handover-acknowledged",
];

/**
 * @typedef {object} Fact a fact with all that this device knows of it
 * @property {string} id
 * @property {any} entry without its place in the device's sequence
 * @property {number} made the order in which facts were made here
 * @property {number} dseq where its newest version stands
 * @property {string} sha256 of its newest version
 * @property {1} [open] it has no receipt yet
 * @property {1} [changed] what it says is newer than its newest version
 * @property {1} [aside] the record will never take it as it is
 * @property {string} why the server's word for refusing it, "" where it did not
 * @property {string} about what in it
 * @property {any} [receipt]
 * @property {number} [index] where it stands in the record
 * @property {number} [done] when its receipt came. [UTC ms]
 * @property {any} [grant] the server's word for whoever acts
 */

/**
 * Make a fact of now.
 * @param {string} kind @param {any} body
 * @param {{at?: number|string, reason?: string, amends?: string, id?: string, user?: string}} more
 */
export function newFact(kind, body, { at, reason, amends, id, user }) {
  const now = Date.now();
  const own = ownDevice();
  const acting = actingNow();
  const known = user === undefined || user === acting.user;
  const through = own.device;
  const said = known ? acting : { user, auth: { method: "none", verified: false, through }, grant: null };
  if (DECISIONS.includes(kind) && said.auth.method !== "pin") throw new NotKept("no-proof");
  const atMs = typeof at === "string" ? Date.parse(at) : (at ?? now);
  const zone = zoneHere();
  const entry = {
    v: 1,
    id: id ?? uuid7(now),
    site: own.site,
    dev: own.device,
    type: kind,
    at: stamp(atMs),
    rec: stamp(now),
    off: offsetMinutes(zone, atMs),
    tz: zone,
    clk: clockSaid(now),
    seen: seenNow(),
    user: said.user,
    auth: said.auth,
    body: inProfile(body),
  };
  if (amends) entry.amends = amends;
  if (reason) entry.reason = inProfile(reason);
  return { entry, grant: said.grant };
}

/** The newest head of the record that this device holds. */
function seenNow() {
  const held = heldStamp();
  return held && held.size > 0 ? { size: held.size, root: held.root } : { size: 0, root: "" };
}

/** The site's zone, as last heard. */
function zoneHere() {
  return carried()?.site?.timezone ?? here.me?.site?.timezone ?? "UTC";
}

/** The offset of a zone from UTC at an instant, in whole minutes. */
export function offsetMinutes(zone, instant) {
  const shown = new Intl.DateTimeFormat("en-GB", {
    timeZone: zone,
    year: "numeric",
    month: "2-digit",
    day: "2-digit",
    hour: "2-digit",
    minute: "2-digit",
    hourCycle: "h23",
  }).formatToParts(new Date(instant));
  const part = Object.fromEntries(shown.map(({ type, value }) => [type, Number(value)]));
  const local = Date.UTC(part.year, part.month - 1, part.day, part.hour, part.minute);
  return Math.round((local - Math.floor(instant / MINUTE_MS) * MINUTE_MS) / MINUTE_MS);
}
