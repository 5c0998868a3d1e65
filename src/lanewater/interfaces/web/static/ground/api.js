/** The only gate to the server: JSON in, JSON out. */

const ROOT = "/api/v1";

/** When the server last answered this device, in milliseconds; 0 before it ever did. */
export const contact = { at: 0 };

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

/** @param {string} path @param {Record<string, any>} [query] */
export function get(path, query = {}) {
  return ask("GET", path + searchOf(query));
}

/** @param {string} path @param {object} [body] */
export function post(path, body = {}) {
  return ask("POST", path, body);
}

/**
 * Read with an inspector's link, and no cookie.
 * @param {string} token @param {string} path @param {Record<string, any>} query
 */
export function getByLink(token, path, query) {
  return ask("GET", path + searchOf(query), undefined, byLink(token));
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

async function ask(method, path, body, more = { headers: {}, credentials: "same-origin" }) {
  const request = { method, ...more, headers: { Accept: "application/json", ...more.headers } };
  if (body !== undefined) {
    request.headers["Content-Type"] = "application/json";
    request.body = JSON.stringify(body);
  }
  let response;
  try {
    response = await fetch(ROOT + path, request);
  } catch {
    throw new ApiError("unreachable", "");
  }
  contact.at = Date.now();
  const answer = await response.json().catch(() => null);
  if (response.ok && answer !== null) return answer;
  throw errorOf(response, answer);
}

function errorOf(response, answer) {
  const error = answer?.error ?? {};
  return new ApiError(error.id ?? "broken", error.message ?? "", error.field, response.status);
}
