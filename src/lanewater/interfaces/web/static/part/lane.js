/** One pool, full width: its state by word, shape and weight, then a sentence. */

import { h } from "../ground/dom.js";
import { poolName } from "../ground/store.js";
import { listed, say } from "../ground/words.js";
import { actionList } from "./action.js";
import { closureParts } from "./closure.js";
import { deadlineList } from "./deadline.js";
import { asHeard } from "./heard.js";
import { laneIncidents } from "./incidentlane.js";
import { keyLink } from "./key.js";
import { openingKeys, openingPanel } from "./opening.js";
import {
  dueSentence,
  heardSentence,
  mainReading,
  otherReadings,
  overallShown,
  resultSentence,
  statusSentence,
} from "./sentence.js";
import { alsoClosed } from "./settle.js";
import { outcomeShape, statusShape } from "./shape.js";

const HEAVY = ["everyone-out", "closed"];

/** @param {any} row of the Now page @param {Record<string, any>} people @param {() => Promise<void>} after */
export function lane(row, people, after) {
  const weight = HEAVY.includes(row.status) ? "heavy" : row.status === "open" ? "light" : "middle";
  return h(
    "li",
    { class: `lane lane-${weight} lane-${row.status}`, "data-key": row.pool },
    h("div", { class: "lane-end" }, statusShape(row.status)),
    h(
      "div",
      { class: "lane-body" },
      h("h2", { class: "lane-name" }, row.name),
      lead(row),
      laneIncidents(row.pool),
      h(
        "p",
        { class: "lane-sentence" },
        h("strong", {}, statusSentence(row, people)),
        " ",
        h("span", { class: "number" }, mainReading(row.round)),
        " ",
        dueSentence(row.due),
      ),
      openingMarks(row),
      asHeard(),
      alsoClosed(row),
      result(row),
      row.same_filter.length > 0 &&
        h("p", { class: "small" }, say("now.same-filter", { pools: mates(row) })),
      actionList({ ...row, open_actions: row.open_actions.filter((one) => one.id !== "incident") }, after),
      closureParts(row, after),
      deadlineList(row, after),
      h(
        "div",
        { class: "keys" },
        keyLink(say("lane.test"), `/test?pool=${row.pool}`, { "aria-label": say("lane.test-pool", row) }),
        keyLink(say("lane.look"), `/look?pool=${row.pool}`, { "aria-label": say("lane.look-pool", row) }),
        openingKeys(row),
      ),
      openingPanel(row, after),
    ),
  );
}

/** What a person here does first, before how the pool stands. */
function lead(row) {
  if (!row.lead || row.status === "everyone-out") return null;
  const words = h("p", { class: "people", "data-key": "lead" }, say(`lead.${row.lead}`));
  if (row.lead !== "everyone-out" || row.status !== "open") return words;
  return [words, keyLink(say("out.of", row), `/out?pool=${row.pool}`, { kind: "stop" })];
}

/** How an opening came about, where it is not the usual way. */
function openingMarks(row) {
  if (row.status !== "open") return null;
  const found = [
    row.word_of && !row.confirmed && say("mark.by-telephone"),
    row.on_device && say("mark.on-device"),
    row.without_authority && say("mark.without-authority"),
    row.open_actions.some((one) => one.id === "judged-otherwise") && say("mark.judged-otherwise"),
  ].filter(Boolean);
  if (found.length === 0) return null;
  return h("p", { class: "marks", "data-key": "marks" }, found.map((text) => h("span", { class: "mark-word" }, text)));
}

function mates(row) {
  return listed([row.name, ...row.same_filter.map(poolName)]);
}

function result(row) {
  if (!row.verdict) return null;
  const overall = row.stale ? "unheard" : overallShown(row.verdict);
  return h(
    "div",
    { class: "lane-result" },
    outcomeShape(overall),
    h(
      "p",
      {},
      h("strong", {}, row.stale ? say("now.not-known") : resultSentence(row)),
      " ",
      heardSentence(row),
      row.round && h("span", { class: "small rest" }, otherReadings(row.round)),
    ),
  );
}
