/** Who decides what, by role, in words: on the Site page, to be changed by whoever sets the site up. */

import { get, post } from "../ground/api.js";
import { h } from "../ground/dom.js";
import { here, redraw } from "../ground/store.js";
import { listed, say } from "../ground/words.js";
import { heed } from "../offline/view.js";
import { choice, key } from "./key.js";
import { problem } from "./problem.js";

const ANSWERS = ["yes", "no", "delegated", "competent"];
const OF_COMPETENCE = ["hand-dose"];
const WITH_OPEN = ["open", "end-house-stop", "end-incident", "close"];

const state = { rows: null, open: "", error: null };

/** Ask the server once the page is opened. */
export async function loadMatrix() {
  Object.assign(state, { open: "", error: null });
  state.rows = (await get("/site/matrix").catch(() => ({ rows: null }))).rows;
  redraw();
}

export function matrixFold() {
  if (state.rows === null) return null;
  return h(
    "details",
    { class: "fold", "data-key": "matrix" },
    h("summary", {}, say("matrix.title")),
    h("p", { class: "small" }, say("matrix.what")),
    h("ul", { class: "items" }, state.rows.map(row)),
  );
}

const roleName = (role) => say(`option.roles.${role}`);
const decisionName = (decision) => say(`matrix.decision.${decision}`);

/** "Close: duty manager, area manager." */
function whoWords({ answers, always }) {
  if (always) return say("matrix.everybody");
  const may = Object.entries(answers).filter(([, answer]) => answer !== "no");
  if (may.length === 0) return say("matrix.nobody");
  return listed(
    may.map(([role, answer]) =>
      answer === "yes" ? roleName(role) : say("matrix.one", { role: roleName(role), answer: say(`matrix.answer.${answer}`) }),
    ),
  );
}

function row(one) {
  const { decision, changed, always } = one;
  const toggle = () => {
    Object.assign(state, { open: state.open === decision ? "" : decision, error: null });
    redraw();
  };
  return h(
    "li",
    { "data-key": decision },
    h(
      "span",
      {},
      say("matrix.row", { decision: decisionName(decision), who: whoWords(one) }),
      changed.length > 0 && h("span", { class: "small" }, " ", say("matrix.changed")),
    ),
    !always &&
      here.me?.may_set_up &&
      key(say("site.change"), toggle, {
        kind: "small",
        "aria-label": say("matrix.change", { decision: decisionName(decision) }),
        "aria-expanded": state.open === decision ? "true" : "false",
      }),
    state.open === decision && panel(one),
  );
}

function answersOf(decision) {
  if (OF_COMPETENCE.includes(decision)) return ["competent", "no"];
  return ANSWERS.filter((answer) => answer !== "competent" && (answer !== "delegated" || WITH_OPEN.includes(decision)));
}

function panel({ decision, answers }) {
  return h(
    "div",
    { class: "panel" },
    problem(state.error),
    Object.entries(answers).map(([role, chosen]) =>
      choice(
        roleName(role),
        answersOf(decision).map((answer) => [answer, say(`matrix.answer.${answer}`)]),
        chosen,
        (answer) => change(decision, role, answer),
        { name: role },
      ),
    ),
  );
}

async function change(decision, role, answer) {
  try {
    state.rows = (await post("/site/matrix", { rows: [{ decision, role, answer }] })).rows;
    state.error = null;
    await heed({ after: true });
  } catch (error) {
    state.error = error;
  }
  redraw();
}
