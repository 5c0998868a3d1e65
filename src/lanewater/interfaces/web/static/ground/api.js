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
  const given = Object.entries(query).filter(([, value]) => value !== "" && value !== null);
  const search = given.length ? `?${new URLSearchParams(given)}` : "";
  return ask("GET", path + search);
}

/** @param {string} path @param {object} [body] */
export function post(path, body = {}) {
  return ask("POST", path, body);
}

async function ask(method, path, body) {
  const request = { method, headers: { Accept: "application/json" }, credentials: "same-origin" };
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
  const error = answer?.error ?? {};
  throw new ApiError(error.id ?? "broken", error.message ?? "", error.field, response.status);
}
