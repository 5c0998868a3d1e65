/** One round after another: which lane comes next. It is marked; it opens when somebody opens it. */

import { here, pools } from "../ground/store.js";
import { say } from "../ground/words.js";
import { draftOf, fieldOf } from "../round/draft.js";
import { keyLink } from "./key.js";

/** The pool to be tested next: one that was looked at, else one that is due, else the one after. */
export function nextPool(pool) {
  const all = pools();
  const from = all.findIndex((one) => one.pool === pool);
  const others = [...all.slice(from + 1), ...all.slice(0, Math.max(from, 0))];
  return others.find(lookedAt) ?? others.find(isDue) ?? others[0] ?? null;
}

function lookedAt({ pool }) {
  return Boolean(fieldOf(draftOf(pool), "clarity", "")?.value);
}

function isDue({ pool }) {
  const row = here.now?.pools.find((one) => one.pool === pool);
  return Boolean(row && (row.round === null || row.due?.late));
}

/** @param {string} pool the one just saved */
export function nextLane(pool) {
  const next = nextPool(pool);
  if (next === null) return null;
  return keyLink(say("after.next", { name: next.name }), `/test?pool=${next.pool}`, {
    kind: "main",
    class: "key key-main next-lane",
    "data-key": `next ${next.pool}`,
  });
}
