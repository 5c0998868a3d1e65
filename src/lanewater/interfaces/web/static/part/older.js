/** A round that was begun and never saved is shown as such, with its time; it is never reused unseen. */

import { h } from "../ground/dom.js";
import { redraw } from "../ground/store.js";
import { when } from "../ground/time.js";
import { say } from "../ground/words.js";
import { draftOf, dropDraft, lastTouched } from "../round/draft.js";
import { key } from "./key.js";

const OLD_MS = 30 * 60_000;

/** @param {string} pool @param {() => void} onDrop */
export function older(pool, onDrop) {
  const last = lastTouched(draftOf(pool));
  if (last === 0 || Date.now() - last < OLD_MS) return null;
  const begin = () => {
    dropDraft(pool);
    onDrop();
    redraw();
  };
  return h(
    "p",
    { class: "older", "data-key": "older" },
    say("older.begun", { at: when(last) }),
    " ",
    key(say("older.anew"), begin),
  );
}
