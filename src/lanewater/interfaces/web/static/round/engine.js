/**
 * The one engine, translated from lanewater.kernel: this module only carries values to it and
 * back (its records are Maps). No rule, limit or chemistry is decided here.
 */

import * as kernel from "../generated/kernel.js";
import { fromKernel, toKernel } from "../strict.js";
import { asFirstTyped, finished, replaced } from "./draft.js";
import { betweenColours, expiredLots, normalReading } from "./normal.js";
import { kitOf } from "./wire.js";

/** @type {WeakMap<object, any>} rules in the kernel's form; a pack is large and never changes */
const packs = new WeakMap();
const LATELY_MS = 10_000;
/** @type {Map<string, {context: any, readings: string, at: number, answer: any}>} what was last worked out */
const last = new Map();

/** The rules of a pool as the kernel takes them. */
function packOf(rules) {
  if (rules === null) return null;
  if (!packs.has(rules)) packs.set(rules, toKernel(rules));
  return packs.get(rules);
}

/** The same readings a moment later have the same answer: a page is drawn far more often than it is typed on. */
function unlessSame(name, context, draft, now, work) {
  const readings = JSON.stringify([draft.id, draft.kit, draft.taken, finished(draft), draft.tries, draft.changed]);
  const held = last.get(name);
  if (held && held.context === context && held.readings === readings && Math.abs(now - held.at) < LATELY_MS) return held.answer;
  const answer = work();
  last.set(name, { context, readings, at: now, answer });
  return answer;
}

/** A finished field as the kernel takes it. */
function reading(field, context, kit) {
  return normalReading({ ...field, kit }, context.case.kits);
}

/** The case of a draft: what the server knows of the pool, with the readings so far, at the time they were taken. */
function caseOf(context, draft, now) {
  const at = draft.taken || now;
  const rows = finished(draft).map((field) => ({ ...field, kit: kitOf(field, draft) }));
  const found = toKernel({ ...context.case, at: Math.floor(at / 1000), expired: expiredLots(rows, context.reagents, at) });
  found.set("readings", rows.map((row) => normalReading(row, context.case.kits)));
  found.set("between", toKernel(betweenColours(rows)));
  return found;
}

/** The next colour of a comparator. @param {string} colour @param {string} step */
export function colourAbove(colour, step) {
  const places = step.split(".")[1]?.length ?? 0;
  return kernel.rounded_text(kernel.thousandths(colour) + kernel.thousandths(step), places);
}

/** The number half way between two colours. @param {{low: string, high: string}} colours */
export function midway({ low, high }) {
  return kernel.decimal_text(Math.floor((kernel.thousandths(low) + kernel.thousandths(high)) / 2));
}

/**
 * Judge what is in so far.
 * @param {any} context what the server says of the pool
 * @param {import("./draft.js").Draft} draft
 * @param {number} now UTC ms
 * @returns {any} the kernel's answer as JSON
 */
export function judge(context, draft, now) {
  return unlessSame("judge", context, draft, now, () => {
    const answer = judged(context, draft, now);
    if (replaced(draft).length === 0) return answer;
    return { ...answer, changed_to_pass: madeToPass(context, draft, now) };
  });
}

/** Whether a number that took another's place made a fail pass, as the record will hold it. */
function madeToPass(context, draft, now) {
  const given = toKernel({ id: draft.id, at: now, was: "", changed: [], first_case: null });
  given.set("first_case", caseOf(context, asFirstTyped(draft), now));
  const held = kernel.judged_round(packOf(context.rules), caseOf(context, draft, now), given, toKernel([]));
  return fromKernel(held.get("body")).changed_to_pass ?? false;
}

function judged(context, draft, now) {
  return fromKernel(kernel.judge(packOf(context.rules), caseOf(context, draft, now)));
}

/** The rules that apply to this pool with these readings, so that a limit stands beside a number. */
export function limitsOf(context, draft, now) {
  if (context.rules === null) return [];
  return unlessSame("limits", context, draft, now, () => {
    const found = kernel.with_doubt(caseOf(context, draft, now), []);
    return fromKernel(kernel.rules_that_apply(packOf(context.rules), found)).rules;
  });
}

/** The readings of a draft that are a surprise until they are repeated. */
export function surprises(context, draft) {
  const found = caseOf(context, draft, Date.now());
  return ["free_chlorine", "ph"].filter((parameter) => kernel.surprising(found, parameter));
}

/** An advised amount in US measures, never more than was advised. @param {string} amount @param {string} unit */
export function usMeasure(amount, unit) {
  return fromKernel(kernel.us_measure(Number(amount), unit));
}

/** Write a field as it counts: the dilution applied, over and under range kept. */
export function shown(field, context) {
  return kernel.shown_text(reading(field, context, ""));
}

/**
 * Combined chlorine of a free and a total field with its test error, in text, with the decimals
 * of the coarser one; null if undecided.
 */
export function combined(free, total, context, draft) {
  const [one, other] = [free, total].map((field) => reading(field, context, kitOf(field, draft)));
  if ([one, other].some((row) => kernel.relation_in(row) !== "exact")) return null;
  const number = kernel.combined_thousandths(one, other);
  const places = Math.min(...[free, total].map((field) => field.value.split(".")[1]?.length ?? 0));
  return {
    value: number < 0 ? kernel.decimal_text(number) : kernel.rounded_text(number, places),
    error: kernel.rounded_text(kernel.pair_error(one, other), Math.max(places, 2)),
    zero: number === 0,
    possible: number >= 0,
  };
}
