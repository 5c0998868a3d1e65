/** What waits for somebody, in words, with the keys that answer it. */

import { h } from "../ground/dom.js";
import { here, poolName, redraw } from "../ground/store.js";
import { when } from "../ground/time.js";
import { say, sayOr } from "../ground/words.js";
import { answerAddition } from "../offline/local.js";
import { key, keyLink } from "./key.js";
import { problem } from "./problem.js";
import { overallShown, roundWords, who } from "./sentence.js";
import { sidesWords } from "./settle.js";
import { tellList } from "./tell.js";

let failed = { about: "", error: null };

/** @param {any} action @param {any} row the pool's lane */
export function actionSentence(action, row) {
  const values = {
    stop: action.stop ? say(`stop.${action.stop}`) : "",
    until: action.until ? when(action.until) : "",
    sides: action.sides ? sidesWords(action.sides) : "",
    person: action.person ? who(action.person, here.now?.people) : "",
    shown: action.shown ? say(`outcome.${action.shown}`) : "",
    overall: action.overall ? say(`outcome.${action.overall}`) : "",
    kind: action.id.startsWith("incident") ? say(`incident.kind.${action.kind}`) : "",
    what: action.kind ? sayOr(`sent.${action.kind}`, action.kind).replace("{pool}", row.name) : "",
  };
  const id = action.id === "tell" && action.stop ? "tell-stop" : action.id;
  const what = say(`action.${id}`, values);
  return isOwn(action, row) ? what : say("action.same-filter", { pool: poolName(action.pool), what });
}

/** What concerns another pool on the same filter is answered in that pool's lane. */
export function isOwn(action, row) {
  return !action.pool || action.pool === row.pool;
}

/** @param {any} row @param {() => Promise<void>} after */
export function actionList(row, after) {
  if (row.open_actions.length === 0) return null;
  return h(
    "ul",
    { class: "actions" },
    row.open_actions.map((action) =>
      h(
        "li",
        { "data-key": `${action.id} ${action.about} ${action.stop ?? ""}` },
        h("span", {}, actionSentence(action, row)),
        action.id === "tell" && telling(action, row),
        isOwn(action, row) && answers(action, row, after),
        whereTo(action),
        failed.about === action.about && problem(failed.error),
      ),
    ),
  );
}

function telling(action, row) {
  const words = action.stop
    ? say("tell.out", { pool: row.name, at: when(row.since), stop: say(`stop.${action.stop}`) })
    : roundWords(row.name, row.round.readings, row.verdict && overallShown(row.verdict));
  return h(
    "details",
    {},
    h("summary", { class: "key key-small" }, say("tell.open")),
    tellList(row.pool, action.about, words),
  );
}

/** Where it is answered, if not here. */
function whereTo({ id, incident }) {
  if (id === "rules-missing") return keyLink(say("page.site"), "/site", { kind: "small" });
  if (id === "incident-continued") return keyLink(say("incidents.go-on"), `/incidents?incident=${incident}`, { kind: "small" });
  return null;
}

const ASKED = { "advice-unanswered": "advice", "dose-running": "addition" };

function answers(action, row, after) {
  const kind = ASKED[action.id];
  if (kind === undefined) return null;
  return h(
    "div",
    { class: "keys" },
    ["added", "not-added", "unknown"].map((answer) =>
      key(say(`added.${answer}`), () => giveAnswer(kind, action, row, answer, after), {
        "data-key": answer,
      }),
    ),
  );
}

async function giveAnswer(kind, action, row, answer, after) {
  try {
    await answerAddition({ [kind]: action.about, body: { pool: row.pool } }, answer);
    failed = { about: "", error: null };
    await after();
  } catch (error) {
    failed = { about: action.about, error };
  }
  redraw();
}
