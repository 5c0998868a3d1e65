/**
 * A device that was put back to an older copy of itself, or that works twice, finds its own later entries
 * in the record, known by its own signature, and goes on after them.
 */

import { get } from "../ground/api.js";
import { readNote } from "../ground/note.js";
import { asked, inStores } from "./base.js";
import { sha256, utf8 } from "./canonical.js";
import { alone } from "./chain.js";
import { isOwn, ownDevice } from "./device.js";

const WINDOW = 500;

/**
 * Learn one's own entries on record, back from a head to what is known here.
 * @param {{dseq: number, sha256: string}} head
 * @returns {Promise<boolean>} whether the head and all before it are known now
 */
export async function adopt(head) {
  const found = new Map();
  let to = await sizeOfRecord();
  while (to > 0) {
    const from = Math.max(0, to - WINDOW);
    const { lines } = await get("/sync/entries", { from, limit: to - from });
    await own(lines, found);
    const way = await wayBack(head, found);
    if (way !== null) {
      await alone(() => keep(way));
      return true;
    }
    to = from;
  }
  return false;
}

async function sizeOfRecord() {
  const { stamp } = await get("/sync/entries", { from: 0, limit: 1 });
  return stamp ? readNote(stamp).size : 0;
}

async function own(lines, found) {
  const mark = `"dev":"${ownDevice().device}"`;
  for (const { entry: text, sig } of lines) {
    if (!text?.includes(mark)) continue;
    const bytes = utf8(text);
    if (!(await isOwn(bytes, sig))) continue;
    const { dseq, dprev, ...entry } = JSON.parse(text);
    const hash = await sha256(bytes);
    found.set(hash, { entry, version: { id: entry.id, sha256: hash, dseq, dprev, text, sig } });
  }
}

/** The found entries from what is known here up to a head, oldest first; null where one is missing. */
function wayBack(head, found) {
  return inStores(["signed", "chain"], "readonly", async ({ signed, chain }) => {
    const way = [];
    let { dseq, sha256: hash } = head;
    while (dseq > 0) {
      const row = await asked(chain.get(dseq));
      if (row?.sha256 === hash || (await asked(signed.get(hash)))) return way;
      const one = found.get(hash);
      if (!one) return null;
      way.unshift(one);
      [dseq, hash] = [one.version.dseq - 1, one.version.dprev];
    }
    return way;
  });
}

async function keep(way) {
  await inStores(["facts", "signed"], "readwrite", async ({ facts, signed }) => {
    const cursor = await asked(facts.index("made").openKeyCursor(null, "prev"));
    let made = cursor?.key ?? 0;
    for (const { entry, version } of way) {
      await asked(signed.put(version));
      const before = await asked(facts.get(entry.id));
      const fact = before ?? { id: entry.id, entry, made: (made += 1), open: 1, why: "", about: "", grant: null };
      await asked(facts.put({ ...fact, dseq: version.dseq, sha256: version.sha256 }));
    }
  });
}
