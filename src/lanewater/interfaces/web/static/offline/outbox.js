/**
 * What is said at this device, on disk before it is called saved, kept until the record has given its
 * receipt, and for a month after.
 */

import { asked, canKeep, inStores, NotKept } from "./base.js";
import { canonical, inProfile } from "./canonical.js";
import { add, alone } from "./chain.js";
import { openDevice, ownDevice } from "./device.js";
import { newFact } from "./fact.js";
import { flush, heardNew } from "./sync.js";

export { flush, NotKept };

const KEPT_AFTER_MS = 30 * 86_400_000;

/** What stands against writing facts at this browser, "" where nothing does. @returns {Promise<string>} */
export async function whyNot() {
  const why = await canKeep();
  return why || (ownDevice() ? "" : "no-key");
}

/**
 * Write a fact; it is on disk when this resolves.
 * @param {string} kind @param {any} body
 * @param {{at?: number|string, reason?: string, amends?: string, id?: string, user?: string}} [more]
 * @returns {Promise<any>} the entry
 * @throws {NotKept} where it is not, with `why`
 */
export async function record(kind, body, more = {}) {
  if (!globalThis.isSecureContext || !navigator.locks) throw new NotKept("insecure");
  if (!ownDevice()) await openDevice();
  if (!ownDevice()) throw new NotKept("no-key");
  const entry = await alone(async () => {
    const before = more.id ? await factOf(more.id) : undefined;
    if (before && saysTheSame(before.entry, kind, body)) return before.entry;
    // Said twice under one id and not alike: both are facts, and both are kept.
    const made = newFact(kind, body, before ? { ...more, id: undefined } : more);
    await add(made);
    return made.entry;
  });
  heardNew();
  return entry;
}

function saysTheSame(entry, kind, body) {
  return entry.type === kind && canonical(entry.body) === canonical(inProfile(body));
}

/** @param {string} id @returns {Promise<import("./fact.js").Fact | undefined>} */
export function factOf(id) {
  return inStores(["facts"], "readonly", ({ facts }) => asked(facts.get(id)));
}

/**
 * What the record has not given its receipt for.
 * @returns {Promise<{id: string, kind: string, at: string, age_ms: number, state: "waiting"|"aside", why: string}[]>}
 */
export async function unsent(now = Date.now()) {
  const open = await inStores(["facts"], "readonly", ({ facts }) => asked(facts.index("open").getAll()));
  return open
    .sort((one, other) => one.made - other.made)
    .map(({ id, entry, aside, why }) => ({
      id,
      kind: entry.type,
      at: entry.at,
      age_ms: Math.max(0, now - Date.parse(entry.rec)),
      state: aside ? "aside" : "waiting",
      why,
    }));
}

/**
 * The entries of this device that a carry does not hold yet, in the order in which they were made.
 * @param {{index: number} | null} carry `index`: how many lines of the record it was made from
 * @returns {Promise<{entry: any, receipt: any | null, state: "recorded"|"waiting"|"aside", why: string}[]>}
 */
export async function entriesAfter(carry) {
  const from = carry?.index ?? 0;
  const found = await inStores(["facts"], "readonly", ({ facts }) =>
    Promise.all([
      asked(facts.index("open").getAll()),
      asked(facts.index("index").getAll(IDBKeyRange.lowerBound(from))),
    ]),
  );
  const byId = new Map(found.flat().map((fact) => [fact.id, fact]));
  return [...byId.values()]
    .sort((one, other) => one.made - other.made)
    .map((fact) => ({
      entry: fact.entry,
      receipt: fact.receipt ?? null,
      state: fact.open ? (fact.aside ? "aside" : "waiting") : "recorded",
      why: fact.why,
    }));
}

/** Let go of what has had its receipt for a month. */
export function letGo(now = Date.now()) {
  return inStores(["facts", "signed"], "readwrite", async ({ facts, signed }) => {
    for (const fact of await asked(facts.getAll())) {
      if (fact.open || !fact.receipt || now - fact.done < KEPT_AFTER_MS) continue;
      await asked(facts.delete(fact.id));
      for (const key of await asked(signed.index("id").getAllKeys(fact.id))) await asked(signed.delete(key));
    }
  });
}
