/** One row of what is due: until when, where, what, by which clause, and the keys that answer it. */

import { h } from "../ground/dom.js";
import { poolName, redraw } from "../ground/store.js";
import { when } from "../ground/time.js";
import { listed, say, sayOr } from "../ground/words.js";
import { answerDuty } from "../offline/duties.js";
import { key, keyLink } from "./key.js";
import { dueWhy } from "./sentence.js";

/** What only a round answers. */
const TESTS = ["round", "test", "opened-before-test"];
const NO_DUTY = [...TESTS, "deadline"];

let open = "";

export function forgetOpen() {
  open = "";
}

const rowKey = (row) => `${row.id} ${row.pool} ${row.due_ms}`;

/** @param {any} row of the list @param {(what: string, send: () => Promise<any>) => Promise<void>} keep */
export function dueRow(row, keep) {
  return h(
    "li",
    { "data-key": rowKey(row), class: `due-row due-${row.state}` },
    h("b", { class: "at" }, stateWords(row)),
    h(
      "div",
      {},
      h("p", {}, row.pool && h("b", {}, `${poolName(row.pool)}. `), told(row)),
      row.why === "no-record-yet" && h("p", { class: "small" }, say("due.no-record-yet")),
      row.reasons.length > 0
        ? row.reasons.map((reason) => h("p", { class: "small", "data-key": `${reason.why} ${reason.detail}` }, dueWhy(reason)))
        : row.clause && h("p", { class: "small" }, say("due.clause", { clause: row.clause })),
      keys(row, keep),
    ),
  );
}

function stateWords(row) {
  const at = when(row.due_ms);
  if (row.of === "incident") return say("due.state.running", { at });
  if (row.state === "missed" && row.why === "late") return say("due.state.late", { at });
  return say(`due.state.${row.state}`, { at });
}

/** What is to be done, in words: the rules' or the site's own where they have some. */
export function what(row) {
  if (row.of === "incident") return say("due.incident", { kind: say(`incident.kind.${row.kind}`) });
  if (row.kind === "deadline") return say("due.deadline", { words: row.words });
  if (row.kind === "opened-before-test") return say("due.opened-before-test");
  if (row.kind === "round" || row.reasons.length > 0) return say("due.round");
  if (row.words) return row.words;
  if (row.kind === "test") return say("due.test", { tests: listed(row.test.map((one) => sayOr(`name.${one}`, one))) });
  return say(`duty.${row.kind}`);
}

/** What the rules or the site say in words of their own stands as it is in every language. */
function told(row) {
  const words = what(row);
  return words === row.words ? h("span", { class: "of-rules" }, words) : words;
}

function keys(row, keep) {
  if (row.state === "missed") return null;
  if (row.of === "incident") {
    return h("div", { class: "keys" }, keyLink(say("due.incident.open"), `/incidents?incident=${encodeURIComponent(row.why)}`));
  }
  if (TESTS.includes(row.kind)) {
    return row.pool && h("div", { class: "keys" }, keyLink(say("page.test"), `/test?pool=${encodeURIComponent(row.pool)}`));
  }
  if (NO_DUTY.includes(row.kind)) return null;
  if (open !== rowKey(row)) return h("div", { class: "keys" }, key(say("due.say"), () => openRow(row), { "data-key": "say" }));
  const answered = (answer) => keep(`${what(row)}: ${say(`due.${answer}`)}`, () => answerDuty(row, answer));
  return h(
    "div",
    { class: "keys" },
    ["done", "not-needed"].map((answer) => key(say(`due.${answer}`), () => answered(answer), { "data-key": answer })),
  );
}

function openRow(row) {
  open = rowKey(row);
  redraw();
}
