/**
 * This browser's own key. It is made here, cannot be taken out of here, and signs what is said at
 * this browser; its id on the record follows from it.
 */

import { fromHex, hexOf } from "../ground/note.js";
import { asked, inStores } from "./base.js";
import { canonical, sha256, together, utf8 } from "./canonical.js";
import { tell } from "./tabs.js";

const OWN = "own";
const NEXT = "next";
/** Whose sequence is kept here; it outlives a key that is used no more. */
const LAST = "last";
const ENTRY = utf8("lanewater/entry/v1\n");
const ENROL = utf8("lanewater/enrol/v1\n");
const ALGORITHMS = {
  ed25519: { made: { name: "Ed25519" }, used: { name: "Ed25519" } },
  "ecdsa-p256": {
    made: { name: "ECDSA", namedCurve: "P-256" },
    used: { name: "ECDSA", hash: "SHA-256" },
  },
};

/**
 * @typedef {object} Made a key of this browser
 * @property {"ed25519"|"ecdsa-p256"} algorithm
 * @property {CryptoKey} private
 * @property {string} public_key hexadecimal
 * @property {CryptoKey} wrapping mixes this browser into what a PIN unwraps
 */

/** @typedef {Made & {device: string, site: string, log_key: string, name: string, kind: string}} Own */

/** @type {Own | null} */
let own = null;

/** Read back the key of this browser; without a store there is none. */
export async function openDevice() {
  own = (await inStores(["device"], "readonly", ({ device }) => asked(device.get(OWN))).catch(() => null)) ?? null;
}

/** @returns {Own | null} null where this browser has no key on record */
export function ownDevice() {
  return own;
}

/** Make a key, on disk before anybody else hears of it; the one that is here already is taken again. */
export async function makeKey() {
  const before = own ?? (await inStores(["device"], "readonly", ({ device }) => asked(device.get(NEXT))));
  if (before) return before;
  const made = (await pair("ed25519").catch(() => null)) ?? (await pair("ecdsa-p256"));
  await inStores(["device"], "readwrite", ({ device }) => void device.put(made, NEXT));
  return made;
}

/** @returns {Promise<Made>} */
async function pair(algorithm) {
  const { made } = ALGORITHMS[algorithm];
  const keys = await crypto.subtle.generateKey(made, false, ["sign", "verify"]);
  const raw = new Uint8Array(await crypto.subtle.exportKey("raw", keys.publicKey));
  const wrapping = await crypto.subtle.generateKey({ name: "HMAC", hash: "SHA-256" }, false, ["sign"]);
  return { algorithm, private: keys.privateKey, public_key: hexOf(raw), wrapping };
}

/**
 * What goes with a first key: this browser's public key, and the proof that it is its own.
 * @param {Made} made @param {string} firstKey @param {string} name @param {string} kind
 */
export async function enrolProof(made, firstKey, name, kind) {
  const { algorithm, public_key } = made;
  const said = { algorithm, key: firstKey.trim().toLowerCase(), kind, name, public_key };
  const proof = await signed(made, together(ENROL, utf8(canonical(said))));
  return { algorithm, public_key, proof };
}

/** Keep what the enrolment was answered with. @param {Made} made */
export async function keepDevice(made, { device, site, log_key }, name, kind) {
  const kept = { ...made, device, site, log_key, name, kind };
  await inStores(["device"], "readwrite", ({ device: store }) => {
    store.put(kept, OWN);
    store.put(device, LAST);
    store.delete(NEXT);
  });
  own = kept;
  tell("device");
}

/** The device whose sequence is kept here, "" where there is none. @returns {Promise<string>} */
export async function lastDevice() {
  return (await inStores(["device"], "readonly", ({ device }) => asked(device.get(LAST)))) ?? "";
}

/** Never use a key again. @param {Made} made */
export async function forgetKey(made) {
  const mine = own?.public_key === made.public_key;
  await inStores(["device"], "readwrite", ({ device }) => void device.delete(mine ? OWN : NEXT));
  if (mine) own = null;
}

/** Sign an entry's bytes. @param {Uint8Array} bytes @returns {Promise<string>} hexadecimal */
export function sign(bytes) {
  return signed(own, together(ENTRY, bytes));
}

async function signed(made, message) {
  return hexOf(new Uint8Array(await crypto.subtle.sign(ALGORITHMS[made.algorithm].used, made.private, message)));
}

/** Whether this browser itself signed these bytes. @param {Uint8Array} bytes @param {string} sigHex */
export async function isOwn(bytes, sigHex) {
  const { made, used } = ALGORITHMS[own.algorithm];
  const key = await crypto.subtle.importKey("raw", fromHex(own.public_key), made, false, ["verify"]);
  return crypto.subtle.verify(used, key, fromHex(sigHex), together(ENTRY, bytes));
}

/** The id that follows from a public key. @param {string} publicHex */
export async function deviceOf(publicHex) {
  return `dev-${(await sha256(fromHex(publicHex))).slice(0, 20)}`;
}
