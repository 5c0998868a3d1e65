/** What was added to a pool's water and what the retest found; never how much of anything. */

import { h } from "../ground/dom.js";
import { when } from "../ground/time.js";
import { listed, say } from "../ground/words.js";
import { readingWords, who } from "./sentence.js";

/** @param {any} found the answer of a pool's additions, or null while it is asked for */
export function addedLately(found) {
  if (!found) return null;
  const { additions, volume, drift } = found;
  return h(
    "details",
    { class: "fold", "data-key": "additions" },
    h("summary", {}, say("lately.title", { count: additions.length })),
    additions.length === 0 && h("p", {}, say("lately.none")),
    h("ul", { class: "rests" }, additions.map(addition)),
    volume.value !== null &&
      h("p", {}, say("lately.volume", { ...volume, stated: volume.stated || say("lately.not-stated") })),
    drift.value !== null && h("p", {}, say("lately.drift", drift)),
  );
}

function addition(row) {
  const state = row.answer || "running";
  return h(
    "li",
    { "data-key": row.addition },
    h("b", {}, when(row.started)),
    ` ${say(`lately.${state}`, { by: who(row.by) })} `,
    row.answer === "added" && (row.retest ? retest(row.retest) : say("lately.no-retest")),
    Object.keys(row.predicted ?? {}).length > 0 && ` ${say("lately.foreseen", { readings: foreseen(row.predicted) })}`,
  );
}

function retest({ at, readings, agree }) {
  const words = listed(readings.map((one) => readingWords(one)));
  return say(agree ? "lately.retest" : "lately.retest-apart", { at: when(at), readings: words });
}

function foreseen(predicted) {
  return listed(Object.entries(predicted).map(([parameter, value]) => `${say(`short.${parameter}`)} ${value}`));
}
