/** The only gate to the server: JSON in, JSON out. */

import { measure } from "../offline/clock.js";

const ROOT = "/api/v1";
/** A network that swallows what is sent is no network. */
const LATE_MS = 20_000;

/**
 * When the server last answered this device, and when it last did not; 0 before it ever did. [UTC ms]
 * `changed` is called after each.
 */
export const contact = { at: 0, lost: 0, changed: () => {} };

/** Requests are counted, not timed: a device's clock may be set back. */
let asks = 0;
let lostAmong = 0;

/** What went wrong, in the server's words; `id` is "unreachable" where there was no answer. */
export class ApiError extends Error {
  /** @param {string} id @param {string} message @param {string} [field] @param {number} [status] */
  constructor(id, message, field = "", status = 0) {
    super(message);
    this.id = id;
    this.field = field;
    this.status = status;
  }
}

/** @param {string} path @param {Record<string, any>} [query] @param {number} [lateMs] */
export function get(path, query = {}, lateMs = LATE_MS) {
  return ask("GET", path + searchOf(query), undefined, lateMs);
}

/** @param {string} path @param {object} [body] @param {number} [lateMs] */
export function post(path, body = {}, lateMs = LATE_MS) {
  return ask("POST", path, body, lateMs);
}

/**
 * Read with an inspector's link, and no cookie.
 * @param {string} token @param {string} path @param {Record<string, any>} query
 */
export function getByLink(token, path, query) {
  return ask("GET", path + searchOf(query), undefined, LATE_MS, byLink(token));
}

/** Fetch a file with an inspector's link. @returns {Promise<Blob>} */
export async function fileByLink(token, path, query) {
  let response;
  try {
    response = await fetch(ROOT + path + searchOf(query), byLink(token));
  } catch {
    throw new ApiError("unreachable", "");
  }
  if (response.ok) return response.blob();
  throw errorOf(response, await response.json().catch(() => null));
}

function byLink(token) {
  return { headers: { Authorization: `Bearer ${token}` }, credentials: "omit" };
}

function searchOf(query) {
  const given = Object.entries(query).filter(([, value]) => value !== "" && value !== null);
  return given.length ? `?${new URLSearchParams(given)}` : "";
}

async function ask(method, path, body, lateMs, more = { headers: {}, credentials: "same-origin" }) {
  const request = { method, ...more, headers: { Accept: "application/json", ...more.headers } };
  if (body !== undefined) {
    request.headers["Content-Type"] = "application/json";
    request.body = JSON.stringify(body);
  }
  const { response, answer } = await heard(path, request, lateMs);
  if (response.ok && answer !== null) return answer;
  throw errorOf(response, answer);
}

/** Ask and wait for the whole answer; what was cut short or came too late is no answer. */
async function heard(path, request, lateMs) {
  const late = new AbortController();
  const timer = setTimeout(() => late.abort(), lateMs);
  const asked = Date.now();
  const mine = ++asks;
  try {
    const response = await fetch(ROOT + path, { ...request, signal: late.signal });
    const arrived = Date.now();
    const text = await response.text();
    // The late answer to what was asked before the loss does not say that the server can be reached again.
    if (mine > lostAmong) contact.at = Math.max(Date.now(), contact.lost + 1);
    const answer = readJson(text);
    measure(asked, arrived, answer?.now, response.headers.get("Date") ?? "");
    return { response, answer };
  } catch {
    lostAmong = asks;
    contact.lost = Math.max(Date.now(), contact.at + 1);
    throw new ApiError("unreachable", "");
  } finally {
    clearTimeout(timer);
    contact.changed();
  }
}

function readJson(text) {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}

function errorOf(response, answer) {
  const error = answer?.error ?? {};
  return new ApiError(error.id ?? "broken", error.message ?? "", error.field, response.status);
}
