/**
 * The site as this device sees it: what the server gave it to carry, and what was done here since. The
 * kernel decides how a pool stands, from the same facts as on the server; pages ask here, network or none.
 */

import * as kernel from "../generated/kernel.js";
import { here, redraw } from "../ground/store.js";
import { setZone, stamp } from "../ground/time.js";
import { fromKernel, toKernel } from "../strict.js";
import { carried, heardAt, refreshCarry } from "./carry.js";
import { ownDevice } from "./device.js";
import { entriesAfter } from "./outbox.js";
import { judgedOf, verdictTold } from "./judged.js";
import { lineOf, withCorrections } from "./ownlines.js";
import { onChange } from "./sync.js";
import { onTold } from "./tabs.js";
import { whoIsHere } from "./who.js";

/** Instants that the kernel gives in milliseconds and pages read as text. */
const INSTANTS = ["at", "since", "until", "confirmed", "lifted", "notice", "due_at", "met_at"];

/** @type {Map<string, any>} facts by pool, as the kernel takes them */
let facts = new Map();
/** The facts of the site itself: what is due at no pool. @type {any} */
let ofSite = null;
/** @type {any[]} what was done here and is not in the carry, in order */
let own = [];
/** What the facts were made from: the carry's tag, and the entries taken in, by id. */
let made = { tag: "", taken: [] };
/** @type {Map<string, any>} judgements of own rounds, by id */
let verdicts = new Map();
/** @type {Map<string, {facts: any, at: number, context: any}>} */
const drawn = new Map();
const DRAWN_MS = 60_000;
let running = Promise.resolve();

/** Read back what is carried and done here, and go on hearing of changes. */
export async function startView() {
  onChange(renewSoon);
  for (const what of ["carry", "session", "facts"]) onTold(what, renewSoon);
  await renew();
}

function renewSoon() {
  renew().then(redraw);
}

/** Whether there is anything to look at yet. */
export function hasView() {
  return carried() !== null;
}

/**
 * Ask the server for what is newer, where it answers, and look again.
 * @param {{after?: boolean}} [how] after: something was just done there, so that an answer already on its way is too old
 */
export async function heed({ after = false } = {}) {
  await refreshCarry().catch(() => null);
  if (after) await refreshCarry().catch(() => null);
  await renew();
  redraw();
}

/** Take in what was carried or done since the last time. @returns {Promise<void>} */
export function renew() {
  running = running.catch(() => null).then(takeIn);
  return running;
}

async function takeIn() {
  const carry = carried();
  if (carry === null) return;
  const found = ownDevice() ? await entriesAfter(carry).catch(() => own) : [];
  const ids = found.map(({ entry }) => entry.id);
  const goesOn = carry.tag === made.tag && made.taken.every((id, index) => ids[index] === id);
  if (!goesOn) {
    facts = new Map(carry.pools.map((one) => [one.pool, toKernel(one.facts)]));
    ofSite = carry.duties ? toKernel(carry.duties) : null;
    made = { tag: carry.tag, taken: [] };
    verdicts = new Map();
  }
  own = found;
  for (const { entry } of found.slice(made.taken.length)) take(entry);
  made.taken = ids;
  setHere(carry);
}

/** Take one entry of this device into the facts of every pool that it concerns. */
function take(entry) {
  const judged = judgedOf(entry, facts.get(entry.body.pool), contextOf(entry.body.pool));
  if (judged.verdict) verdicts.set(entry.type === "round-recorded" ? entry.id : entry.body.round, verdictTold(judged.verdict));
  const given = toKernel(asTaken(entry, judged));
  for (const [pool, before] of facts) facts.set(pool, kernel.facts_after(before, given));
  if (ofSite !== null) ofSite = kernel.site_after(ofSite, given);
}

function asTaken(entry, judged) {
  const { id, name } = carried().device;
  return {
    kind: entry.type,
    id: entry.id,
    at: Date.parse(entry.at),
    rec: Date.parse(entry.rec),
    user: entry.user,
    method: entry.auth.method,
    device: { id, name },
    body: entry.body,
    reason: entry.reason ?? "",
    ...judged,
  };
}

function setHere(carry) {
  setZone(carry.site.timezone);
  here.site = site();
  here.people = people();
  const { how, person } = whoIsHere();
  // The server's word on who is here stands while it answers and this device knows of nobody else.
  if (here.me === null || here.away || how === "device" || (here.me.person ?? "") !== person) here.me = me();
  here.now = now();
}

// --- What pages ask -----------------------------------------------------------------------------

/** What GET /now gives. */
export function now(at = Date.now()) {
  const carry = carried();
  if (carry === null) return null;
  const speaker = whoIsHere().person;
  return {
    now: stamp(at),
    recording: here.me?.recording ?? true,
    trouble: here.me?.trouble ?? "",
    site: carry.site,
    pools: carry.pools.map(({ pool }) => laneInText(fromKernel(kernel.pool_now(facts.get(pool), at)))),
    contacts: carry.contacts,
    tell: carry.tell.filter((one) => one.id !== speaker),
    people: carry.names,
  };
}

/** A lane with every instant as text, as the server gives it; a judgement keeps its own form. */
export function laneInText(value) {
  if (Array.isArray(value)) return value.map(laneInText);
  if (value === null || typeof value !== "object") return value;
  return Object.fromEntries(
    Object.entries(value).map(([key, one]) => {
      if (key === "verdict") return [key, one];
      if (INSTANTS.includes(key) && typeof one === "number") return [key, stamp(one)];
      return [key, laneInText(one)];
    }),
  );
}

/** What GET /pools/POOL/context gives; drawn anew once facts changed or a minute is over. @param {string} pool */
export function context(pool, at = Date.now()) {
  const last = drawn.get(pool);
  if (last && last.facts === facts.get(pool) && at - last.at < DRAWN_MS && at >= last.at) return last.context;
  const found = drawContext(pool, at);
  if (found !== null) drawn.set(pool, { facts: facts.get(pool), at, context: found });
  return found;
}

function drawContext(pool, at) {
  const found = contextOf(pool);
  if (found === null) return null;
  const own = facts.get(pool);
  const row = here.now?.pools.find((one) => one.pool === pool) ?? null;
  return {
    ...found,
    now: stamp(at),
    case: fromKernel(kernel.case_drawn(toKernel(found.case), own, at, "")),
    point: kernel.point_of_day(toKernel(found.pool.points), own.get("offsets"), at),
    due: row?.due ?? null,
  };
}

function contextOf(pool) {
  const carry = carried();
  const found = carry?.pools.find((one) => one.pool === pool)?.context;
  if (!found) return null;
  return { ...found, rules: found.rules ? carry.packs[found.rules] : null };
}

/** Who may open a pool, and how: the person here, on standing or telephone authority, or nobody. */
export function mayOpen(pool, at = Date.now()) {
  const carry = carried();
  const own = facts.get(pool);
  if (!own) return null;
  const person = carry.people.find((one) => one.id === whoIsHere().person) ?? { id: "", may: {} };
  return fromKernel(kernel.may_open(own, toKernel(person), toKernel(carry.authority), at));
}

/** Why an opening of a pool is marked, whoever opens it; empty where nothing marks it. @param {string} pool */
export function marksOf(pool, at = Date.now()) {
  const own = facts.get(pool);
  return own ? fromKernel(kernel.why_reason(own, at)) : [];
}

/** The facts of a pool, as the kernel takes them. @param {string} pool */
export function factsOf(pool) {
  return facts.get(pool) ?? null;
}

/** The facts of the site itself, as the kernel takes them. */
export function siteFacts() {
  return ofSite;
}

/** The judgement of a round that was made here, as pages get it. @param {string} round */
export function verdictOf(round) {
  return verdicts.get(round) ?? null;
}

/** What GET /site/public gives. */
export function site() {
  return carried()?.public ?? here.site;
}

/** What GET /people gives, with what each may decide. */
export function people() {
  return carried()?.people ?? here.people;
}

/** What GET /me gives, of whoever is at this device. */
export function me() {
  const carry = carried();
  const { person: id } = whoIsHere();
  const person = carry.people.find((one) => one.id === id);
  const nobody = { record: "yes", "everyone-out": "yes", "start-incident": "yes" };
  return {
    enrolled: true,
    device: carry.device,
    person: person?.id ?? null,
    name: person?.name ?? "",
    initials: person?.initials ?? "",
    roles: person?.roles ?? [],
    owner: false,
    may_set_up: person?.may["set-up"] === "yes",
    may: person?.may ?? nobody,
    demo: carry.site.demo,
    secure: globalThis.isSecureContext,
    recording: here.me?.recording ?? true,
    trouble: here.me?.trouble ?? "",
    locked: !person,
    now: stamp(Date.now()),
    site: { name: carry.site.name, timezone: carry.site.timezone, units: carry.site.units, rules: carry.site.rules || "none" },
  };
}

/** Whether a line is on the record: recorded, waiting or aside. @param {string} id */
export function stateOf(id) {
  return own.find(({ entry }) => entry.id === id)?.state ?? "recorded";
}

/** What this device did and the carry does not hold, as lines of the record, oldest first. */
export function ownLines({ pool = "", from = 0, to = Infinity } = {}) {
  return own
    .filter(({ entry }) => (pool === "" || entry.body.pool === pool) && within(entry, from, to))
    .map((one) => lineOf(one, verdicts.get(one.entry.id)));
}

/** The lines that are carried, and those made here since, oldest first. */
export function recentLines({ pool = "", from = 0, to = Infinity } = {}) {
  const held = (carried()?.lines ?? []).filter((line) => (pool === "" || line.pool === pool) && within(line, from, to));
  return withOwnCorrections([...held, ...ownLines({ pool, from, to })]);
}

/** Lines of the record with what was corrected on this device beside what it corrects. @param {any[]} lines */
export function withOwnCorrections(lines) {
  return withCorrections(lines, own);
}

const within = (line, from, to) => Date.parse(line.at) >= from && Date.parse(line.at) < to;

/** When this device last heard from the others. [UTC ms] */
export function lastHeard() {
  return heardAt();
}
