/**
 * One push to the server and what comes of it. Nothing is let go of because of an answer: a receipt
 * for these very bytes releases a fact, the record's word on its head decides the sequence, and all
 * else stays as it is.
 */

import { post } from "../ground/api.js";
import { hexOf, noteHolds, readNote } from "../ground/note.js";
import { heldStamp, witness } from "../ground/witness.js";
import { adopt } from "./adopt.js";
import { asked, inStores, readState, writeState } from "./base.js";
import { alone, doneSoFar, follow, signAnew } from "./chain.js";
import { DECISIONS } from "./fact.js";
import { keys, receiptFits } from "./receipt.js";

const MOST_AT_ONCE = 200;
const MOST_CHARACTERS = 900_000;
const MOST_GRANTS = 40;
const LATE_MS = 30_000;
const TROUBLE = "trouble";
const REVOKED = "revoked";
const WENT_ON = "went-on";
const NEVER = ["kind", "does-not-fit", "not-an-entry", "id-reused", "claims-proof"];
const UNSEEN = ["ahead", "other-history"];
/** It is the device itself, or all it sends, that is not taken. */
const OF_DEVICE = ["revoked", "no-key", "other-device", "other-site", "signature"];

/** What is wrong between this device and the record, "" where nothing is. */
export async function troubleSoFar() {
  return (await readState(TROUBLE).catch(() => "")) ?? "";
}

/**
 * Send what waits, once.
 * @returns {Promise<boolean>} whether sending again at once may help
 */
export async function push() {
  const { rows, grants } = await batch();
  const held = heldStamp();
  const sent = {
    entries: rows.map(({ text, sig }) => ({ entry: text, sig })),
    ...(held && { stamp: held.stamp }),
    ...(grants.length && { grants }),
  };
  const answer = await post("/sync/entries", sent, LATE_MS);
  const trouble = await behind(answer.stamp, held);
  if (trouble) {
    await inTrouble(trouble);
    return false;
  }
  return take(answer);
}

/** What is to be sent next: first what the record lacks, then what it gave no receipt for. */
async function batch() {
  const done = await doneSoFar();
  const revoked = await readState(REVOKED);
  return inStores(["facts", "signed"], "readonly", async ({ facts, signed }) => {
    const open = revoked ? [] : await asked(facts.index("open").getAll());
    const rows = [];
    const grants = new Map();
    let size = 0;
    for (const fact of inOrder(open, done)) {
      const version = await asked(signed.get(fact.sha256));
      size += version.text.length;
      const more = fact.grant ? grants.size + (grants.has(fact.grant.text) ? 0 : 1) : grants.size;
      if (rows.length === MOST_AT_ONCE || size > MOST_CHARACTERS || more > MOST_GRANTS) break;
      rows.push(version);
      if (fact.grant) grants.set(fact.grant.text, fact.grant);
    }
    rows.sort((one, other) => one.dseq - other.dseq);
    return { rows, grants: [...grants.values()] };
  });
}

function inOrder(open, done) {
  const waiting = open.filter((fact) => !fact.aside).sort((one, other) => one.dseq - other.dseq);
  return [...waiting.filter(({ dseq }) => dseq > done), ...waiting.filter(({ dseq }) => dseq <= done)];
}

/** What is wrong where a stamp lies behind the one held when it was asked for, "" where nothing is. */
async function behind(text, held) {
  if (!text) return "";
  const note = readNote(text);
  if (!(await holds(note))) return "signature";
  if (held === null || note.name !== held.name) return held === null ? "" : "another";
  if (note.epoch > held.epoch) return "";
  const older = note.epoch < held.epoch || note.size < held.size;
  return older || (note.size === held.size && hexOf(note.root) !== held.root) ? "rolled-back" : "";
}

async function holds(note) {
  try {
    const fits = await Promise.all(keys().map((key) => noteHolds(note, key)));
    if (fits.some(Boolean)) return true;
  } catch (error) {
    if (error.name === "NotSupportedError") return true;
    throw error;
  }
  // The log's key may have handed over since this device last looked.
  await witness({ now: true });
  const key = heldStamp()?.key;
  return Boolean(key) && noteHolds(note, key);
}

/** Take in an answer. @returns {Promise<boolean>} whether sending again at once may help */
async function take(answer) {
  let released = 0;
  let trouble = "";
  for (const outcome of answer.outcomes) {
    const found = outcome.outcome === "refused" ? await refused(outcome) : await release(outcome);
    if (found === "") released += 1;
    else if (found !== "waits") trouble = found;
  }
  let way = await alone(() => follow(answer.head));
  if (way === "unknown" && (await adopt(answer.head))) way = await alone(() => follow(answer.head));
  await inTrouble(way === "unknown" ? "unknown-head" : trouble);
  return way === "anew" || (way === "followed" && released > 0);
}

/** Keep what kept a push from being answered with outcomes; no answer at all is no trouble. @param {any} error */
export async function sendingFailed(error) {
  if (error.id === "unreachable") return;
  await inTrouble(error.id === "not-enrolled" ? "not-enrolled" : "other");
}

async function inTrouble(trouble) {
  if ((await troubleSoFar()) !== trouble) await writeState(TROUBLE, trouble);
}

/** Keep a receipt that fits; nothing else releases a fact. @returns {Promise<string>} "", "waits" or what is wrong */
async function release({ sha256, receipt }) {
  const version = await inStores(["signed"], "readonly", ({ signed }) => asked(signed.get(sha256)));
  // Bytes of before this device was put back to an older copy of itself: its head will tell.
  if (!version || !receipt) return "waits";
  if (!(await receiptFits(receipt, version))) return "receipt";
  return inStores(["facts"], "readwrite", async ({ facts }) => {
    const fact = await asked(facts.get(version.id));
    if (!fact) return "waits";
    if (fact.receipt?.origin === receipt.origin && fact.receipt.leaf !== receipt.leaf) return "rolled-back";
    const { open, aside, grant, ...rest } = fact;
    const index = receipt.index;
    await asked(facts.put({ ...rest, why: "", about: "", receipt, index, done: fact.done ?? Date.now() }));
    return "";
  });
}

/** Take in a refusal. @returns {Promise<string>} "waits", or what is wrong */
async function refused({ sha256, why, about = "" }) {
  if (why === "revoked") await writeState(REVOKED, true);
  const wentOn = (await readState(WENT_ON)) ?? 0;
  return inStores(["facts", "signed"], "readwrite", async ({ facts, signed }) => {
    const version = await asked(signed.get(sha256));
    const fact = version && (await asked(facts.get(version.id)));
    if (!fact || !fact.open || fact.sha256 !== sha256 || fact.changed) return "waits";
    const next = afterRefusal({ ...fact, why, about }, wentOn);
    await asked(facts.put(next));
    return [...OF_DEVICE, ...UNSEEN].includes(why) && !next.changed ? why : "waits";
  });
}

function afterRefusal(fact, wentOn) {
  const { entry, why } = fact;
  if (UNSEEN.includes(why) && Date.parse(entry.rec) < wentOn && entry.seen.size > 0) return sawNothing(fact);
  if (why === "claims-proof" && entry.auth.method !== "none" && !DECISIONS.includes(entry.type)) {
    const auth = { ...entry.auth, method: "none" };
    return { ...fact, entry: { ...entry, auth }, grant: null, why: "", changed: 1 };
  }
  return NEVER.includes(why) ? { ...fact, aside: 1 } : fact;
}

/** A fact that claims to have seen nothing of the record: less than it saw, never more. */
function sawNothing(fact) {
  const entry = { ...fact.entry, seen: { size: 0, root: "" } };
  return { ...fact, entry, why: "", about: "", changed: 1 };
}

/** A person has decided to go on from the record as it is now: what it refused as unseen claims nothing. */
export async function goOnSending(now = Date.now()) {
  await writeState(WENT_ON, now);
  await inStores(["facts"], "readwrite", async ({ facts }) => {
    for (const fact of await asked(facts.index("open").getAll())) {
      if (UNSEEN.includes(fact.why)) await asked(facts.put(sawNothing(fact)));
    }
  });
  await alone(signAnew);
  await inTrouble("");
}
