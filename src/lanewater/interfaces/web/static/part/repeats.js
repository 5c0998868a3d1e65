/** A round that was asked for again: the first and its repeat are shown and kept as a pair. */

import { h } from "../ground/dom.js";
import { when } from "../ground/time.js";
import { say } from "../ground/words.js";
import { readingWords } from "./sentence.js";

/**
 * A round begun while its pool's last one waits to be done again is its repeat.
 * @param {import("../round/draft.js").Draft} draft @param {any} row the pool's lane
 */
export function takeUpRepeat(draft, row) {
  const asked = (row?.open_actions ?? []).find((one) => one.id === "repeat");
  if (asked && !draft.repeats) draft.repeats = asked.about;
}

/** On the bench: which round is done again; its numbers stand there struck, as first tries do. */
export function repeatNote(draft, row) {
  if (!draft.repeats || row?.round?.id !== draft.repeats) return null;
  return h(
    "p",
    { class: "tries", role: "note", "data-key": "repeats" },
    say("repeat.of", { at: when(row.round.at) }),
    " ",
    row.round.readings.map((one) => [h("s", {}, readingWords(one)), " "]),
  );
}

/** On the record: a repeat beside its first, and a first beside its repeats. */
export function pairWords(line, lines) {
  const first = line.body.repeats ? lines.find((one) => one.id === line.body.repeats) : null;
  const later = lines.filter((one) => one.body.repeats === line.id);
  if (!line.body.repeats && later.length === 0) return null;
  return h(
    "p",
    { class: "small pair-words", "data-key": "pair" },
    line.body.repeats && (first ? pairOf("repeat.of", first) : say("repeat.of-earlier")),
    later.map((one) => [" ", pairOf("repeat.by", one)]),
  );
}

function pairOf(id, line) {
  return [say(id, { at: when(line.at) }), " ", (line.readings ?? []).map((one) => readingWords(one)).join(", "), "."];
}
