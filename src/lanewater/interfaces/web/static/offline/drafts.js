/**
 * Rounds that are not saved yet, kept with every key. Writes go to disk one after the other; while one is
 * on its way only the newest waits, which holds all before it, so keeping never lags behind typing.
 */

import { asked, inStores } from "./base.js";
import { onTold, tell } from "./tabs.js";

/** @type {Map<string, any>} what is on this device, by pool, as text */
const held = new Map();
/** @type {Map<string, {text: string | null, done: Promise<void>}>} what waits for its turn, by pool */
const waiting = new Map();
/** @type {Map<string, Promise<void>>} what is being written, by pool */
const writing = new Map();
let trouble = "";
let changed = (pool) => {};

/** Read back every draft. @param {(pool: string) => void} then called when another tab changed one */
export async function openDrafts(then = () => {}) {
  changed = then;
  await readBack();
  onTold("draft", async (pool) => {
    // What is typed here stands above what another tab has written meanwhile.
    if (waiting.has(pool) || writing.has(pool)) return;
    await readBack();
    changed(pool);
  });
}

async function readBack() {
  try {
    const [pools, texts] = await inStores(["drafts"], "readonly", ({ drafts }) =>
      Promise.all([asked(drafts.getAllKeys()), asked(drafts.getAll())]),
    );
    held.clear();
    pools.forEach((pool, index) => held.set(pool, texts[index]));
  } catch (error) {
    trouble = error.why ?? "blocked";
  }
}

/** @param {string} pool @returns {any} a draft of one's own to change, null where there is none */
export function readDraft(pool) {
  const text = held.get(pool);
  return text === undefined ? null : JSON.parse(text);
}

/** The pools with a round begun. @returns {string[]} */
export function draftsHeld() {
  return [...held.keys()];
}

/**
 * Keep a draft; the promise is for it being on disk, and throws where it is not.
 * @param {string} pool @param {any} draft
 * @returns {Promise<void>}
 */
export function keepDraft(pool, draft) {
  const text = JSON.stringify(draft);
  held.set(pool, text);
  return inTurn(pool, text);
}

/** Forget a draft. @param {string} pool @returns {Promise<void>} */
export function dropDraft(pool) {
  held.delete(pool);
  return inTurn(pool, null);
}

/** What stands against keeping drafts, "" where the last one is on disk. */
export function draftTrouble() {
  return trouble;
}

function inTurn(pool, text) {
  const before = waiting.get(pool);
  if (before) {
    before.text = text;
    return before.done;
  }
  const next = { text, done: Promise.resolve() };
  waiting.set(pool, next);
  next.done = (writing.get(pool) ?? Promise.resolve()).then(() => {
    waiting.delete(pool);
    const done = write(pool, next.text);
    const over = done.catch(() => null).then(() => {
      if (writing.get(pool) === over) writing.delete(pool);
    });
    writing.set(pool, over);
    return done;
  });
  next.done.catch(() => null);
  return next.done;
}

async function write(pool, text) {
  try {
    await inStores(["drafts"], "readwrite", ({ drafts }) => {
      if (text === null) drafts.delete(pool);
      else drafts.put(text, pool);
    });
    trouble = "";
    tell("draft", pool);
  } catch (error) {
    trouble = error.why ?? "blocked";
    throw error;
  }
}
