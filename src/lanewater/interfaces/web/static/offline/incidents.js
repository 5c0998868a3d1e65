/**
 * Incidents at this device: begun, gone through and ended, with a network or without. What began is on
 * disk here before anything else, and has everyone out of every pool that it concerns.
 */

import * as kernel from "../generated/kernel.js";
import { post } from "../ground/api.js";
import { uuid7 } from "../ground/id.js";
import { callOut as callOutHere } from "../ground/stops.js";
import { pools } from "../ground/store.js";
import { fromKernel, toKernel } from "../strict.js";
import { decide, fact } from "./local.js";
import { context, factsOf, renew } from "./view.js";

/** In the order of their keys on the page, by where they are met. */
export const GROUPS = [
  ["water", ["formed-stool", "diarrhoea", "vomit", "blood", "dead-animal", "glass"]],
  ["plant", ["chemical-spill", "gas", "circulation-failure", "power-failure", "overdose"]],
  ["people", ["injury", "complaints", "thunder"]],
];
const FRESH_MS = 1_000;
/** As the server takes it: what is said to have begun longer ago, people look at. */
export const LONGEST_AGO_MS = 31 * 24 * 3_600_000;
const LATE_MS = 8_000;

/** @type {WeakMap<object, any>} packs as the kernel takes them */
const packs = new WeakMap();
/** @type {Map<string, {incident: any, at: number, told: any}>} */
const worked = new Map();

const kindOf = (kind) => kernel.INCIDENTS.get(kind);

/** The pools of which everyone comes out for a kind of incident in one of them. @returns {string[]} */
export function poolsFor(kind, pool) {
  const scope = kindOf(kind)?.get("scope") ?? "circuit";
  const circuit = pools().find((one) => one.pool === pool)?.circuit;
  const others = pools().filter((one) => scope === "site" || (scope === "circuit" && circuit && one.circuit === circuit));
  return [pool, ...others.map((one) => one.pool).filter((one) => one !== pool)];
}

/** Whether a kind asks for water read at several points. @param {string} kind */
export function readsPoints(kind) {
  const criteria = kindOf(kind)?.get("criteria") ?? [];
  return ["contact-time", "two-point-round"].some((one) => criteria.includes(one));
}

/** What may be answered with "not needed". @param {string} step */
export const mayBeLeft = (step) => kernel.MAY_BE_LEFT.includes(step);

// --- What pages ask -----------------------------------------------------------------------------

/**
 * The incidents that are open, oldest first, as the kernel tells them, and `facts`: what it told them from.
 * @returns {any[]}
 */
export function openIncidents(at = Date.now()) {
  const found = new Map();
  for (const { pool } of pools()) {
    for (const one of factsOf(pool)?.get("incidents") ?? []) {
      // What it is told from are the facts of the pool that it happened in.
      if (one.get("pool") === pool || !found.has(one.get("incident"))) found.set(one.get("incident"), one);
    }
  }
  return [...found.values()].sort((one, other) => one.get("at") - other.get("at")).map((one) => told(one, at));
}

/** Those that keep everyone out of a pool. @param {string} pool */
export function incidentsOf(pool, at = Date.now()) {
  return openIncidents(at).filter((one) => one.pools.includes(pool));
}

function told(incident, at) {
  const id = incident.get("incident");
  const last = worked.get(id);
  if (last && last.incident === incident && at - last.at < FRESH_MS && at >= last.at) return last.told;
  const facts = fromKernel(incident);
  const found = { ...fromKernel(kernel.incident_now(incident, packOf(facts.pool), at)), facts };
  worked.set(id, { incident, at, told: found });
  return found;
}

function packOf(pool) {
  const rules = context(pool)?.rules ?? null;
  if (rules === null) return null;
  if (!packs.has(rules)) packs.set(rules, toKernel(rules));
  return packs.get(rules);
}

// --- What people do -----------------------------------------------------------------------------

/**
 * Begin an incident: everyone out of every pool that it concerns.
 * @param {string} kind @param {string} pool @param {{nobody_in?: boolean, words?: string}} [more]
 * @param {string} [at] when it began, as somebody says; without it, now [RFC 3339]
 * @returns {Promise<{incident: string, entry: string, saved: string}>}
 */
export async function begin(kind, pool, more = {}, at = "") {
  const incident = `inc-${uuid7()}`;
  const concerned = poolsFor(kind, pool);
  const body = { incident, kind, pool, pools: concerned, ...more };
  const began = at ? { at } : {};
  try {
    return { incident, ...(await fact("incident-started", body, began, () => post("/incidents", { kind, pool, ...began, ...more }))) };
  } catch (error) {
    // What cannot be begun as an incident still has everyone out: those calls are kept and sent.
    const stop = kindOf(kind)?.get("stop") ?? "other";
    for (const one of concerned) await callOutHere(one, stop, more).catch(() => null);
    await renew();
    throw error;
  }
}

/** Answer a step. @param {any} incident @param {string} step @param {"done"|"not-needed"|"not-done"} answer */
export function answerStep({ incident, pool }, step, answer, words = "") {
  const said = { step, answer, ...(words && { words }) };
  return fact("incident-step-done", { incident, pool, ...said }, {}, () => post(`/incidents/${incident}/steps`, said));
}

/** Add to what happened. @param {any} incident @param {{what: string, count?: number, words?: string}} said */
export function noteAt({ incident, pool }, said) {
  return fact("incident-noted", { incident, pool, ...said }, {}, () => post(`/incidents/${incident}/notes`, said));
}

/** Choose one of the routes that the rules permit; it is a person's choice, with a PIN. */
export function chooseRoute({ incident, pool }, { procedure, route, pin }) {
  const send = () => late(`/incidents/${incident}/route`, { pin, procedure, route });
  return decide("incident-route-chosen", { incident, pool, procedure, route }, { pin, send });
}

/** End it: all is met, or it was a false alarm. @param {any} incident @param {{falseAlarm: boolean, reason?: string, pin: string}} given */
export function endIncident({ incident, pool, criteria, report }, { falseAlarm, reason, pin }) {
  const outcome = falseAlarm ? "false-alarm" : "criteria-met";
  const met = falseAlarm ? [] : criteria.map((one) => one.id);
  const body = { incident, pool, outcome, ...(met.length && { criteria: met }), ...report };
  const sent = { pin, ...(falseAlarm && { false_alarm: true }), ...(reason && { reason }) };
  return decide("incident-ended", body, { reason, pin, send: () => late(`/incidents/${incident}/end`, sent) });
}

const late = (path, sent) => post(path, sent, LATE_MS);
