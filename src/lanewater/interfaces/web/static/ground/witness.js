/**
 * Every device remembers the newest stamp of the record that it ever saw, and says so in large words
 * when the server's record does not go on from there. What it remembers only grows.
 */

import { goOnSending } from "../offline/push.js";
import { get } from "./api.js";
import { hexOf, noteHolds, readNote, wordHolds } from "./note.js";
import { consistencyHolds } from "./proof.js";
import { here, redraw } from "./store.js";

const BASE = "lanewater.witness";
const STORE = "head";
const HELD = "held";
const EVERY_MS = 5 * 60_000;
/** What a person may decide to go on from; a record that lost or changed lines is none of it. */
const CAN_GO_ON = ["restored", "key", "another"];

let looked = 0;
let offered = null;
/** @type {{name: string, epoch: number, size: number, root: string, key: string, stamp: string} | null} */
let newest = null;

/** The newest stamp that is held here, null where none is or it was not read back yet. */
export function heldStamp() {
  return newest;
}

/** Read back what is held, for whoever asks before the first look. */
export async function openWitness() {
  newest = (await kept().catch(() => undefined)) ?? newest;
}

/** Look whether the record goes on from what was seen here; now and then, or at once. */
export async function witness({ now = false } = {}) {
  if (!globalThis.crypto?.subtle || (!now && Date.now() - looked < EVERY_MS)) return;
  looked = Date.now();
  try {
    here.witness = await look();
  } catch (error) {
    // Without an answer, or without Ed25519 in this browser, nothing is proved either way.
    here.unwitnessed = error.name === "NotSupportedError";
  }
  redraw();
}

/** Go on from the record as it is now: after a restoring on purpose, or a new key. */
export async function goOn() {
  if (offered === null) return;
  await keep(offered);
  newest = offered;
  offered = null;
  await witness({ now: true });
  await goOnSending();
}

/** @returns {Promise<{id: string, held: number, size: number} | null>} what is wrong, null where nothing is */
async function look() {
  const held = await kept();
  newest = held ?? null;
  const answer = await get("/stamp", { from: held?.size ?? 0 }).catch((error) => {
    // A record shorter than what was seen here cannot prove that it goes on from there.
    if (held === undefined || error.id !== "input") throw error;
    return get("/stamp", { from: 0 });
  });
  const key = answer.keys.at(-1)?.public_key ?? "";
  const note = readNote(answer.stamp);
  const seen = { name: note.name, epoch: note.epoch, size: note.size, root: hexOf(note.root), key, stamp: answer.stamp };
  const id = (await noteHolds(note, key)) ? await wrong(held, seen, answer) : "signature";
  offered = CAN_GO_ON.includes(id) ? seen : null;
  if (id !== "") return { id, held: held?.size ?? 0, size: seen.size };
  if (held === undefined || seen.size > held.size) {
    await keep(seen);
    newest = seen;
  }
  return null;
}

/** What is wrong between what was seen and what is shown now, "" where nothing is. */
async function wrong(held, seen, answer) {
  if (held === undefined) return "";
  if (held.name !== seen.name) return "another";
  if (!(await handedOver(held.key, answer.keys))) return "key";
  const goesOn = await consistencyHolds(held.size, held.root, seen.size, seen.root, answer.consistency);
  if (goesOn && seen.epoch >= held.epoch) return "";
  if (seen.epoch > held.epoch) return "restored";
  return goesOn || seen.size < held.size ? "shorter" : "changed";
}

/** Whether the key that is known here gave its word for the next, and so on to the one of now. */
async function handedOver(known, keys) {
  const start = keys.findIndex((one) => one.public_key === known);
  if (start < 0) return false;
  for (let place = start + 1; place < keys.length; place += 1) {
    const { public_key: next, replaces, word } = keys[place];
    const before = keys[place - 1].public_key;
    if (!word || replaces !== before || !(await wordHolds(word, before, next))) return false;
  }
  return true;
}

function open() {
  return new Promise((resolve, reject) => {
    const asked = indexedDB.open(BASE, 1);
    asked.onupgradeneeded = () => asked.result.createObjectStore(STORE);
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => reject(asked.error);
  });
}

async function inStore(mode, work) {
  const base = await open();
  try {
    return await new Promise((resolve, reject) => {
      const transaction = base.transaction(STORE, mode, { durability: "strict" });
      const asked = work(transaction.objectStore(STORE));
      transaction.oncomplete = () => resolve(asked.result);
      transaction.onerror = () => reject(transaction.error);
      transaction.onabort = () => reject(transaction.error);
    });
  } finally {
    base.close();
  }
}

const kept = () => inStore("readonly", (store) => store.get(HELD));
const keep = (seen) => inStore("readwrite", (store) => store.put(seen, HELD));
