/** The one string of bytes of what is signed: RFC 8785 within the profile of the record's form. */

import { hexOf } from "../ground/note.js";
import { NotKept } from "./base.js";

export const MOST_BYTES = 16 * 1024;
const MOST_DEPTH = 6;
const ASCII = /^[ -~]+$/;

/**
 * Write a value in its one canonical form.
 * @param {any} value text, whole numbers, true, false, and lists and objects of them
 * @returns {string}
 */
export function canonical(value, depth = 1) {
  if (typeof value === "string") return JSON.stringify(value);
  if (typeof value === "boolean") return String(value);
  if (typeof value === "number" && Number.isSafeInteger(value)) return String(value === 0 ? 0 : value);
  if (typeof value !== "object" || value === null || depth > MOST_DEPTH) throw new TypeError("beyond the profile");
  if (Array.isArray(value)) return `[${value.map((one) => canonical(one, depth + 1)).join(",")}]`;
  // Within ASCII every sorter gives the same order.
  const names = Object.keys(value).sort();
  if (!names.every((name) => ASCII.test(name))) throw new TypeError("beyond the profile");
  return `{${names.map((name) => `${JSON.stringify(name)}:${canonical(value[name], depth + 1)}`).join(",")}}`;
}

/**
 * Bring what people typed into the profile: normal form C, no half characters; what is null or not
 * given is left out.
 */
export function inProfile(value) {
  if (typeof value === "string") return wellFormed(value).normalize("NFC");
  if (Array.isArray(value)) return value.map(inProfile);
  if (typeof value !== "object" || value === null) return value;
  const given = Object.entries(value).filter(([, one]) => one !== null && one !== undefined);
  return Object.fromEntries(given.map(([name, one]) => [name, inProfile(one)]));
}

function wellFormed(text) {
  return text.replace(/[\ud800-\udbff](?![\udc00-\udfff])|(?<![\ud800-\udbff])[\udc00-\udfff]/g, "\ufffd");
}

/** The bytes of an entry. @param {any} entry @returns {Uint8Array} */
export function entryBytes(entry) {
  const bytes = utf8(canonical(entry));
  if (bytes.length > MOST_BYTES) throw new NotKept("too-large");
  return bytes;
}

/** @param {string} text */
export function utf8(text) {
  return new TextEncoder().encode(text);
}

/** @param {Uint8Array} bytes @returns {Promise<string>} SHA-256 in hexadecimal */
export async function sha256(bytes) {
  return hexOf(new Uint8Array(await crypto.subtle.digest("SHA-256", bytes)));
}

/** Put bytes together. @param {...Uint8Array} parts */
export function together(...parts) {
  const whole = new Uint8Array(parts.reduce((size, part) => size + part.length, 0));
  let place = 0;
  for (const part of parts) {
    whole.set(part, place);
    place += part.length;
  }
  return whole;
}
