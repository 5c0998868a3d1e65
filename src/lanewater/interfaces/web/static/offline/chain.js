/**
 * This device's own sequence: every fact with its place, every version that was ever signed. A place is
 * given and its bytes are signed under one lock, and both go to disk in one transaction.
 */

import { asked, inStores } from "./base.js";
import { entryBytes, sha256 } from "./canonical.js";
import { ownDevice, sign } from "./device.js";

const LOCK = "lanewater.chain";
const DONE = "done";
const ALL = ["facts", "signed", "chain", "state"];

/** Work on the sequence alone, in this tab and among all. @template T @param {() => Promise<T>} work @returns {Promise<T>} */
export function alone(work) {
  return navigator.locks.request(LOCK, work);
}

/** The last place of the sequence. @returns {Promise<{dseq: number, sha256: string}>} */
async function tip() {
  const row = await inStores(["chain"], "readonly", async ({ chain }) => {
    const cursor = await asked(chain.openCursor(null, "prev"));
    return cursor?.value;
  });
  return row ?? { dseq: 0, sha256: "" };
}

/** Sign an entry for a place. @returns {Promise<{id: string, sha256: string, dseq: number, dprev: string, text: string, sig: string}>} */
async function versionAt(entry, dseq, dprev) {
  const bytes = entryBytes({ ...entry, dseq, dprev });
  const sig = await sign(bytes);
  return { id: entry.id, sha256: await sha256(bytes), dseq, dprev, text: new TextDecoder().decode(bytes), sig };
}

/**
 * Put a new fact at the end of the sequence; it is on disk when this resolves. To be called alone.
 * @param {{entry: any, grant: any}} made
 */
export async function add({ entry, grant }) {
  const last = await tip();
  const version = await versionAt(entry, last.dseq + 1, last.sha256);
  await inStores(ALL, "readwrite", async ({ facts, signed, chain }) => {
    await asked(chain.add(rowOf(version)));
    await asked(signed.add(version));
    const made = (await newestMade(facts)) + 1;
    const fact = { id: entry.id, entry, made, open: 1, why: "", about: "", grant };
    await asked(facts.add({ ...fact, dseq: version.dseq, sha256: version.sha256 }));
  });
}

async function newestMade(facts) {
  const cursor = await asked(facts.index("made").openKeyCursor(null, "prev"));
  return cursor?.key ?? 0;
}

const rowOf = ({ dseq, sha256: hash, id }) => ({ dseq, sha256: hash, id });

/** How many places of the sequence the record has, as it last said. */
export async function doneSoFar() {
  return (await inStores(["state"], "readonly", ({ state }) => asked(state.get(DONE)))) ?? 0;
}

/**
 * Follow the record's word on where this device's sequence stands there: what it has stays, all else is
 * signed anew where its place or what it says has changed. To be called alone.
 * @param {{dseq: number, sha256: string}} head
 * @returns {Promise<"followed"|"anew"|"unknown">}
 */
export async function follow(head) {
  const taken = await takenUpTo(head);
  if (taken === null) return "unknown";
  if (taken.rest.length === 0 && (await standsAfter(head.dseq))) return "followed";
  const last = await tip();
  const versions = [];
  let place = head;
  for (const fact of await notAmong(taken)) {
    place = await versionAt(fact.entry, place.dseq + 1, place.sha256);
    versions.push(place);
  }
  await replaceAfter(taken, versions, last);
  return "anew";
}

/** Whether everything that waits has its place in the sequence. */
async function allPlaced(facts, chain) {
  const open = await asked(facts.index("open").getAll());
  const rows = await Promise.all(open.map(({ dseq }) => asked(chain.get(dseq))));
  return open.every((fact, index) => fact.aside || rows[index]?.id === fact.id);
}

/** Sign what waits anew behind what the record has, as far as this device knows. To be called alone. */
export async function signAnew() {
  const dseq = await doneSoFar();
  const row = dseq > 0 ? await inStores(["chain"], "readonly", ({ chain }) => asked(chain.get(dseq))) : null;
  return follow({ dseq, sha256: row?.sha256 ?? "" });
}

/** Whether all that follows a place can be sent as it was signed; if so, the place is what is done. */
function standsAfter(done) {
  return inStores(["facts", "chain", "state"], "readwrite", async ({ facts, chain, state }) => {
    const rows = await asked(chain.getAll(IDBKeyRange.lowerBound(done, true)));
    const after = await Promise.all(rows.map(({ id }) => asked(facts.get(id))));
    if (!after.every((fact) => fact && !fact.aside && !fact.changed)) return false;
    if (!(await allPlaced(facts, chain))) return false;
    // A record that was put back to an older state lacks what it once gave its receipt for.
    for (const fact of after) if (!fact.open) await asked(facts.put({ ...fact, open: 1 }));
    await asked(state.put(done, DONE));
    await noLongerAside(facts, chain, done);
    return true;
  });
}

/** The versions that the record has beyond what it shares with the sequence here; null where its head was never signed here. */
async function takenUpTo({ dseq, sha256: head }) {
  return inStores(["signed", "chain"], "readonly", async ({ signed, chain }) => {
    const rest = [];
    let hash = head;
    let place = dseq;
    while (place > 0) {
      const row = await asked(chain.get(place));
      if (row?.sha256 === hash) break;
      const version = await asked(signed.get(hash));
      if (!version) return null;
      rest.unshift(version);
      hash = version.dprev;
      place = version.dseq - 1;
    }
    return { base: place, rest };
  });
}

/** The facts that the record does not have, in the order in which they were made. */
function notAmong({ base, rest }) {
  return inStores(["facts", "chain"], "readonly", async ({ facts, chain }) => {
    const shared = base > 0 ? await asked(chain.getAll(IDBKeyRange.upperBound(base))) : [];
    const known = new Set([...shared, ...rest].map(({ id }) => id));
    const all = await asked(facts.index("made").getAll());
    const own = ownDevice().device;
    return all.filter((fact) => !known.has(fact.id) && !fact.aside && fact.entry.dev === own);
  });
}

/** Write the sequence anew behind what is shared. A place that another tab gave meanwhile ends it. */
function replaceAfter({ base, rest }, versions, last) {
  return inStores(ALL, "readwrite", async ({ facts, signed, chain, state }) => {
    const cursor = await asked(chain.openCursor(null, "prev"));
    if ((cursor?.value.sha256 ?? "") !== last.sha256) throw new DOMException("", "AbortError");
    await asked(chain.delete(IDBKeyRange.lowerBound(base, true)));
    for (const version of [...rest, ...versions]) {
      await asked(signed.put(version));
      await asked(chain.put(rowOf(version)));
      const fact = await asked(facts.get(version.id));
      if (fact) await asked(facts.put({ ...placed(fact, version), ...(versions.includes(version) && { open: 1 }) }));
    }
    const done = base + rest.length;
    await asked(state.put(done, DONE));
    await noLongerAside(facts, chain, done);
  });
}

/** A fact at its new place; what was changed in it is signed now. */
function placed({ changed, ...fact }, { dseq, sha256: hash }) {
  return { ...fact, dseq, sha256: hash };
}

/** What the record has does not stand aside, whatever was said of it before. */
async function noLongerAside(facts, chain, done) {
  for (const fact of await asked(facts.index("aside").getAll())) {
    const row = await asked(chain.get(fact.dseq));
    if (fact.dseq > done || row?.id !== fact.id) continue;
    const { aside, ...rest } = fact;
    await asked(facts.put({ ...rest, why: "", about: "" }));
  }
}

/**
 * Begin a sequence of a new key: what an ended one said and the record never took stays in sight.
 * To be called alone.
 */
export function beginAnew() {
  return inStores(ALL, "readwrite", async ({ facts, chain, state }) => {
    await asked(chain.clear());
    for (const key of [DONE, "revoked", "trouble"]) await asked(state.delete(key));
    for (const fact of await asked(facts.index("open").getAll())) {
      await asked(facts.put({ ...fact, aside: 1, why: "revoked" }));
    }
  });
}
