/** A round of this device, judged by the kernel as the server will judge it again on arrival. */

import * as kernel from "../generated/kernel.js";
import { betweenColours, expiredLots, normalReading } from "../round/normal.js";
import { fromKernel, toKernel } from "../strict.js";

/**
 * @typedef {object} Judged
 * @property {any[]} readings those of a round as typed
 * @property {{rules: any, body: any} | null} verdict
 * @property {any[]} normal the readings as the kernel takes them
 * @property {any[]} between the readings between two colours
 * @property {any[]} expired those made with a lot past its date
 * @property {string[]} doubtful
 */

/** What is said of an entry that judges nothing. */
const NOTHING = { readings: [], verdict: null, normal: [], between: [], expired: [], doubtful: [] };

/**
 * Judge what an entry says of a round; nothing where it says nothing of one.
 * @param {any} entry
 * @param {any} facts of its pool before it, as the kernel takes them
 * @param {any} context of its pool, with its rules
 * @returns {Judged}
 */
export function judgedOf(entry, facts, context) {
  if (!facts || !context) return NOTHING;
  if (entry.type === "round-recorded") return newRound(entry, facts, context);
  if (entry.type === "reading-corrected") return correctedRound(entry, facts, context);
  return NOTHING;
}

function newRound(entry, facts, context) {
  const { readings, purpose = "round", changed_after_result: changes = [] } = entry.body;
  const round = { id: entry.id, at: Date.parse(entry.at), purpose, was: "", without: "" };
  const parts = {
    normal: readings.map((one) => normalOf(one, context)),
    first: changes.length ? asFirstTyped(readings, changes).map((one) => normalOf(one, context)) : null,
    changed: changes.map((one) => one.parameter),
    between: betweenColours(readings),
    expired: expiredLots(readings, context.reagents, round.at),
  };
  return { readings: readings.map(asTyped), ...judge(round, parts, facts, context) };
}

/** The round as it stands once one of its readings is put right. */
function correctedRound(entry, facts, context) {
  const { rounds, last } = fromKernel(facts);
  const found = rounds.find((one) => one.id === entry.body.round);
  if (!found) return NOTHING;
  const { parameter, point = "", value } = entry.body;
  const is = (one) => one.parameter === parameter && (one.point ?? "") === point;
  const latest = last?.id === found.id ? last : null;
  const unit = entry.body.unit ?? latest?.readings.find(is)?.unit ?? "";
  const corrected = (one) => normalOf({ ...one, value, unit, at: one.at === null ? "" : new Date(one.at * 1000).toISOString() }, context);
  const before = latest?.verdict ?? null;
  const was = before?.changed_to_pass ? "does-not-meet" : (before?.overall ?? "");
  const round = { id: found.id, at: found.at, purpose: found.purpose, was, without: found.id };
  const parts = {
    normal: found.readings.map((one) => (is(one) ? corrected(one) : toKernel(one))),
    first: null,
    changed: [parameter],
    between: (latest?.between ?? []).filter((one) => !is(one)),
    expired: latest?.expired ?? [],
  };
  return { readings: [], ...judge(round, parts, facts, context) };
}

function judge(round, { normal, first, changed, between, expired: late }, facts, context) {
  const pack = context.rules === null ? null : toKernel(context.rules);
  const caseOf = (readings) => {
    const found = kernel.case_drawn(toKernel(context.case), facts, round.at, round.without);
    found.set("purpose", round.purpose);
    found.set("readings", readings);
    found.set("at", Math.floor(round.at / 1000));
    found.set("between", toKernel(between));
    found.set("expired", toKernel(late));
    return found;
  };
  const { id, at, was } = round;
  const given = toKernel({ id, at, was, changed, first_case: null });
  if (first) given.set("first_case", caseOf(first));
  const { rules, body, doubtful } = fromKernel(kernel.judged_round(pack, caseOf(normal), given, facts.get("stops")));
  return { verdict: { rules, body }, normal: normal.map(fromKernel), between, expired: late, doubtful };
}

function asTyped({ parameter, value, unit, point, dilution, at }) {
  return {
    parameter,
    value,
    unit: unit ?? "",
    point: point ?? "",
    dilution: dilution ?? 1,
    at: at ? Date.parse(at) : null,
  };
}

/** A reading of an entry; its time is text there. */
function normalOf(one, context) {
  return normalReading({ ...one, at: one.at ? Date.parse(one.at) : null }, context.case.kits);
}

/** The readings as they stood before any was changed after the result. */
function asFirstTyped(readings, changes) {
  const same = (one, other) => one.parameter === other.parameter && (one.point ?? "") === (other.point ?? "");
  return readings.map((one) => {
    const before = changes.find((other) => same(one, other));
    return before ? { ...one, value: before.value } : one;
  });
}

/** A judgement as pages get it from the server. @param {{rules: any, body: any} | null} verdict */
export function verdictTold(verdict) {
  if (verdict === null) return null;
  return fromKernel(kernel.verdict_told(toKernel(verdict.rules), toKernel(verdict.body)));
}
