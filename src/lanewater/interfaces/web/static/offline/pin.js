/**
 * A PIN checked on this device. What the server's word is wrapped in opens with the right PIN only, and
 * only here: the PIN, stretched, is mixed with a key that cannot leave this browser. Nothing kept here
 * tells the PIN. A try is counted on disk before it is made.
 */

import { asked, inStores } from "./base.js";
import { utf8 } from "./canonical.js";
import { ownDevice } from "./device.js";

const ROUNDS = 600_000;
const MOST_FAILURES = 10;
const INFO = utf8("lanewater/pin/v1");

/** @typedef {{text: string, sig: string}} Grant the server's word that a PIN was proved to it */

/**
 * Keep the server's word for a person, wrapped under the PIN that it has just proved.
 * @param {string} person @param {string} pin @param {Grant} grant
 */
export async function learn(person, pin, grant) {
  if (!ownDevice()) return;
  const salt = crypto.getRandomValues(new Uint8Array(16));
  const iv = crypto.getRandomValues(new Uint8Array(12));
  const key = await keyOf(person, pin, salt);
  const plain = utf8(JSON.stringify(grant));
  const wrapped = await crypto.subtle.encrypt({ name: "AES-GCM", iv }, key, plain);
  const row = { person, salt, iv, wrapped, expires: expiryOf(grant), failures: 0 };
  await inStores(["pins"], "readwrite", ({ pins }) => void pins.put(row));
}

function expiryOf(grant) {
  try {
    return Date.parse(JSON.parse(grant.text).expires) || 0;
  } catch {
    return 0;
  }
}

/**
 * Try a PIN.
 * @param {string} person @param {string} pin
 * @returns {Promise<{found: "fits"|"wrong"|"locked"|"unknown"|"expired", grant: Grant | null, left: number}>}
 */
export async function tryPin(person, pin) {
  const row = await counted(person);
  if (row === null || !ownDevice()) return { found: "unknown", grant: null, left: 0 };
  const left = Math.max(0, MOST_FAILURES - row.failures);
  if (row.failures > MOST_FAILURES) return { found: "locked", grant: null, left: 0 };
  if (row.expires && row.expires < Date.now()) {
    await forgiven(person);
    return { found: "expired", grant: null, left };
  }
  const grant = await unwrapped(row, pin);
  if (grant === null) return { found: left === 0 ? "locked" : "wrong", grant, left };
  await forgiven(person);
  return { found: "fits", grant, left: MOST_FAILURES };
}

/** @param {string} person @param {string} pin @returns {Promise<"fits"|"wrong"|"locked"|"unknown"|"expired">} */
export async function check(person, pin) {
  return (await tryPin(person, pin)).found;
}

/** The people whose PIN this device can check by itself. @returns {Promise<{person: string, expires: number, locked: boolean}[]>} */
export async function grantsHeld() {
  const rows = await inStores(["pins"], "readonly", ({ pins }) => asked(pins.getAll()));
  return rows.map(({ person, expires, failures }) => ({ person, expires, locked: failures >= MOST_FAILURES }));
}

/** Forget what was kept for a person. @param {string} person */
export function unlearn(person) {
  return inStores(["pins"], "readwrite", ({ pins }) => void pins.delete(person));
}

/** Count a try before it is made: a tablet switched off in the middle of one has had it. */
function counted(person) {
  return inStores(["pins"], "readwrite", async ({ pins }) => {
    const row = await asked(pins.get(person));
    if (!row) return null;
    const failures = Math.min(row.failures + 1, MOST_FAILURES + 1);
    await asked(pins.put({ ...row, failures }));
    return { ...row, failures };
  });
}

function forgiven(person) {
  return inStores(["pins"], "readwrite", async ({ pins }) => {
    const row = await asked(pins.get(person));
    if (row) pins.put({ ...row, failures: 0 });
  });
}

async function unwrapped(row, pin) {
  const key = await keyOf(row.person, pin, row.salt);
  try {
    const plain = await crypto.subtle.decrypt({ name: "AES-GCM", iv: row.iv }, key, row.wrapped);
    return JSON.parse(new TextDecoder().decode(plain));
  } catch {
    return null;
  }
}

/** The key that a PIN opens on this device alone. */
async function keyOf(person, pin, salt) {
  const typed = await crypto.subtle.importKey("raw", utf8(pin), "PBKDF2", false, ["deriveBits"]);
  const how = { name: "PBKDF2", hash: "SHA-256", salt, iterations: ROUNDS };
  const stretched = await crypto.subtle.deriveBits(how, typed, 256);
  const here = await crypto.subtle.sign("HMAC", ownDevice().wrapping, new Uint8Array([...salt, ...utf8(person)]));
  const mixed = await crypto.subtle.importKey("raw", stretched, "HKDF", false, ["deriveKey"]);
  const last = { name: "HKDF", hash: "SHA-256", salt: new Uint8Array(here), info: INFO };
  return crypto.subtle.deriveKey(last, mixed, { name: "AES-GCM", length: 256 }, false, ["encrypt", "decrypt"]);
}
