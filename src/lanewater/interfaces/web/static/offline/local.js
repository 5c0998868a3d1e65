/**
 * What people do at a pool, with a network or without. A fact is written here first and sent from here;
 * a decision goes through the server where it answers, else it is this device's own, with a PIN checked
 * here. A browser that cannot keep or sign sends everything to the server, and needs it.
 */

import * as kernel from "../generated/kernel.js";
import { ApiError, post } from "../ground/api.js";
import { callOut as callOutHere } from "../ground/stops.js";
import { here, pools } from "../ground/store.js";
import { witness } from "../ground/witness.js";
import { toldToServer, wireRound } from "../round/wire.js";
import { fromKernel, toKernel } from "../strict.js";
import { carried } from "./carry.js";
import { record } from "./outbox.js";
import { keepsNot } from "./start.js";
import { flush } from "./sync.js";
import { factsOf, heed, marksOf, now as nowHere, renew, verdictOf } from "./view.js";
import { actingNow, proveHere, signInHere, whoIsHere } from "./who.js";

const LATE_AFTER_MS = 60 * 60_000;
const DECISION_LATE_MS = 8_000;
/** What only an answer to an addition that was really made may carry. */
const OF_AN_AMOUNT = ["amount", "unit", "wait_minutes", "lot", "scope", "strength", "density_kg_l"];

/** Whether this browser writes its own facts. */
export function writesHere() {
  return keepsNot() === "" && carried() !== null;
}

/** Write a fact here, or send it where this browser cannot. */
export async function fact(kind, body, more, send) {
  if (!writesHere()) {
    const answer = await send();
    await heed({ after: true });
    return { ...answer, saved: "record" };
  }
  const entry = await record(kind, body, more);
  await renew();
  return { entry: entry.id, recorded_at: entry.rec, saved: "here" };
}

// --- Facts --------------------------------------------------------------------------------------

/**
 * Save a round.
 * @param {import("../round/draft.js").Draft} draft @param {any} context
 * @param {any} [shown] the judgement that was on the screen
 * @returns {Promise<any>} what POST /rounds gives, and `saved`: here or record
 */
export async function recordRound(draft, context, shown = null) {
  const sent = wireRound(draft, context);
  const { id, at, source = "direct", reason, ...rest } = sent;
  const { person } = whoIsHere();
  const late = source === "direct" && Date.now() - Date.parse(at) > LATE_AFTER_MS;
  const body = {
    ...rest,
    source: late ? "late" : source,
    tester: person ? { person } : { unlisted: true },
    ...(shown && { shown: { overall: shown.overall, rules: context.rules?.hash ?? "" } }),
  };
  const found = await fact("round-recorded", body, { id, at, reason }, () => post("/rounds", toldToServer(sent)));
  if (found.saved === "record") return found;
  return savedHere(found);
}

function savedHere({ entry, recorded_at: recordedAt }) {
  const verdict = verdictOf(entry);
  return {
    round: entry,
    recorded_at: recordedAt,
    repeated: false,
    judged: verdict !== null,
    verdict,
    repeat_asked: verdict !== null && kernel.why_repeated(toKernel(verdict)) !== "",
    changed_to_pass: verdict?.changed_to_pass ?? false,
    saved: "here",
  };
}

/**
 * Correct a reading; both values stay. Another's round is corrected through the server alone: whether one may is its to say.
 * @param {any} line the round's @param {any} reading @param {any} given
 */
export async function correct(line, reading, { value, reason, unit }) {
  const diluted = reading.dilution > 1 && { dilution: reading.dilution };
  const where = { ...(reading.point && { point: reading.point }), ...(unit && { unit }), ...diluted };
  const standing = reading.corrected?.at(-1)?.value ?? reading.value;
  const body = { pool: line.pool, round: line.id, parameter: reading.parameter, was: standing, value, ...where };
  const send = () => post(`/rounds/${line.id}/corrections`, { parameter: reading.parameter, value, reason, ...where });
  if (line.by === actingNow().user) return fact("reading-corrected", body, { amends: line.id, reason }, send);
  await flush();
  const answer = await send();
  await heed({ after: true });
  return { ...answer, saved: "record" };
}

/** Call everyone out; anybody may. @returns {Promise<{entry: string, saved: string, also_look: string[]}>} */
export async function callOut(pool, stop, more = {}) {
  const answer = await callOutHere(pool, stop, more);
  await (answer.saved === "here" ? renew() : heed({ after: true }));
  return answer;
}

/** Somebody was told of a round or a stop. */
export function tell(pool, about, whom) {
  return fact("told", { pool, about, whom }, {}, () => post(`/pools/${pool}/told`, { about, whom }));
}

/**
 * Say what came of an advice or of an addition.
 * @param {{advice?: any, addition?: any}} of as the lane or the page knows it, with pool and product
 * @param {"added"|"not-added"|"unknown"} answer
 * @param {{amount?: string, unit?: string}} [more]
 */
export function answerAddition({ advice, addition, body = {} }, answer, more = {}) {
  const about = addition ? { addition } : { advice };
  const circuit = pools().find((one) => one.pool === body.pool)?.circuit;
  const whole = { ...(circuit && { circuit }), ...body, ...more, ...about, answer };
  const kept = answer === "not-added" ? without(whole, OF_AN_AMOUNT) : whole;
  const sent = { ...about, answer, ...(answer === "not-added" ? {} : more) };
  return fact("addition-answered", kept, {}, () => post("/additions/answer", sent));
}

function without(body, keys) {
  return Object.fromEntries(Object.entries(body).filter(([key]) => !keys.includes(key)));
}

// --- Decisions ----------------------------------------------------------------------------------

/**
 * Decide something: through the server where it answers, else on this device's word.
 * @param {string} kind @param {any} body of the entry
 * @param {{reason?: string, pin?: string, send: () => Promise<any>, hold?: () => void}} given
 */
export async function decide(kind, body, { reason, pin, send, hold = () => {} }) {
  const { person, how } = whoIsHere();
  await flush();
  if (!here.away) {
    try {
      if (how === "device" && pin) await signInHere(person, pin);
      if (whoIsHere().how !== "device" || !writesHere()) {
        const answer = await send();
        await heed({ after: true });
        // What is said here next was said by somebody who knew of this decision.
        await witness({ now: true }).catch(() => null);
        return { ...answer, saved: "record" };
      }
    } catch (error) {
      if (error.id !== "unreachable" || !writesHere()) throw error;
    }
  }
  if (!writesHere()) throw new ApiError("unreachable", "");
  if (pin) await proveHere(person, pin);
  else if (!actingNow().grant) throw new ApiError("not-kept-no-proof", "");
  await renew();
  hold();
  return fact(kind, body, { reason }, send);
}

/** Refuse here what the server would refuse: the page may have been drawn before everyone was called out. */
function holdToOpening(pool, allowed) {
  const row = nowHere().pools.find((one) => one.pool === pool);
  if (!allowed.includes(row.opening.may)) throw new ApiError("opening-refused", "");
}

/** What the rules want before a closed pool is opened: held to, and kept as it was met or said to be so. */
function criteriaSaid(pool, confirmed) {
  const facts = factsOf(pool);
  if (facts === null) return {};
  const wanted = kernel.to_confirm(facts, Date.now());
  if (!wanted.every((id) => confirmed.includes(id))) throw new ApiError("opening-refused", "");
  const criteria = fromKernel(kernel.criteria_met(facts, toKernel(confirmed), Date.now()));
  return criteria.length ? { criteria } : {};
}

/** What a decision about a pool rests on. */
function restingOn(row, confirmed) {
  const round = row.round ? { round: row.round.id } : {};
  const overall = row.round ? { overall: row.verdict?.overall ?? "not-judged" } : {};
  const marked = marksOf(row.pool);
  return { ...round, ...overall, ...(marked.length && { marked }), ...criteriaSaid(row.pool, confirmed) };
}

/** Open a pool. @param {any} row @param {{reason?: string, pin: string, confirmed?: string[], word_of?: string, standing?: string}} given */
export async function open(row, { reason, pin, confirmed = [], ...word }) {
  const body = { pool: row.pool, ...restingOn(row, confirmed), ...word };
  const sent = { ...(reason && { reason }), pin, ...(confirmed.length && { confirmed }), ...word };
  // Another's word holds only where nothing at all stands against opening.
  const allowed = Object.keys(word).length > 0 || !reason ? ["open"] : ["open", "reason"];
  const hold = () => holdToOpening(row.pool, allowed);
  return decide("pool-opened", body, { reason, pin, hold, send: () => late(`/pools/${row.pool}/open`, sent) });
}

/** End the house stops that stand at a pool. */
export function endStop(row, { reason, pin, falseAlarm }) {
  const stops = [...new Set(row.stops.map((one) => one.id))];
  const alarm = falseAlarm ? { false_alarm: true } : {};
  const sent = { reason, pin, ...alarm };
  const body = { pool: row.pool, stops, ...alarm };
  return decide("house-stop-ended", body, { reason, pin, send: () => late(`/pools/${row.pool}/end-stop`, sent) });
}

/** Decide how a pool stands where two devices disagree. */
export async function settle(row, { status, entries, reason, pin, confirmed = [] }) {
  const body = { pool: row.pool, status, entries, ...(status === "open" && restingOn(row, confirmed)) };
  const sent = { status, entries, reason, pin, ...(confirmed.length && { confirmed }) };
  return decide("opening-settled", body, { reason, pin, send: () => late(`/pools/${row.pool}/settle`, sent) });
}

/** Say that a pool was opened on one's own word. */
export function confirm(row, { opening, pin }) {
  const send = () => late(`/pools/${row.pool}/confirm`, { opening, pin });
  return decide("opening-confirmed", { pool: row.pool, opening }, { pin, send });
}

const late = (path, sent) => post(path, sent, DECISION_LATE_MS);
