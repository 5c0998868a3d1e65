/** Closing for cause: the reason, the clause it rests on, which pools, and whether by an authority's order. */

import { h } from "../ground/dom.js";
import { poolName, redraw } from "../ground/store.js";
import { listed, say } from "../ground/words.js";
import { fromKernel } from "../strict.js";
import { closedWith } from "../offline/closures.js";
import { factsOf } from "../offline/view.js";
import { choice, key } from "./key.js";
import { reasonField } from "./reason.js";

const REASONS = ["rules", "incident", "laboratory", "plant", "staff"];

/** @returns {{kind: string, reason: string, order: boolean, authority: string, reference: string, clause: string, scope: string}} */
export const newClosing = () => ({
  kind: "",
  reason: "",
  order: false,
  authority: "",
  reference: "",
  clause: "",
  scope: "pool",
});

/** @param {ReturnType<typeof newClosing>} state @param {any} row */
export function closingForm(state, row) {
  return [kinds(state), state.kind === "closed" && cause(state, row)];
}

/** Whether all is said that a closing has to say. */
export function closingSaid(state) {
  if (state.kind === "shut") return true;
  return state.kind === "closed" && state.reason !== "" && (!state.order || state.authority !== "");
}

function kinds(state) {
  return h(
    "div",
    { class: "keys" },
    ["closed", "shut"].map((kind) =>
      key(say(`opening.kind.${kind}`), () => set(state, { kind }), {
        "aria-pressed": state.kind === kind ? "true" : "false",
        "data-key": kind,
      }),
    ),
  );
}

function set(state, change) {
  Object.assign(state, change);
  redraw();
}

function cause(state, row) {
  return [
    reasonField(state, REASONS),
    choice(say("closing.whose"), ["own", "order"].map((id) => [id, say(`closing.whose.${id}`)]), state.order ? "order" : "own", (id) => set(state, { order: id === "order" }), {
      name: "whose",
    }),
    state.order && [
      field(state, "authority", say("closing.authority"), 200),
      field(state, "reference", say("closing.reference"), 120),
      h("p", { class: "small" }, say("closing.order.what")),
    ],
    scopes(state, row),
    clauses(state, row),
  ];
}

function field(state, name, words, longest) {
  const oninput = (event) => set(state, { [name]: event.target.value.trim() });
  return h("label", { "data-key": name }, words, h("input", { maxlength: longest, autocomplete: "off", oninput }));
}

function scopes(state, row) {
  const wide = ["circuit", "site"].filter((scope) => closedWith(row, scope).length > 0);
  const whole = new Set(closedWith(row, "site"));
  const same = closedWith(row, "circuit").length === whole.size;
  const offered = ["pool", ...wide.filter((scope) => scope !== "site" || !same)];
  if (offered.length === 1) return null;
  const words = (scope) => {
    const pools = listed([row.name, ...closedWith(row, scope).map(poolName)]);
    return say(`closing.scope.${scope}`, { pools });
  };
  return choice(say("closing.scope"), offered.map((scope) => [scope, words(scope)]), state.scope, (scope) => set(state, { scope }), {
    name: "scope",
  });
}

/** What the rules offer as the cause: what the last judgement asks for, then what a person looks at. */
export function clausesOffered(row) {
  const judged = (row.verdict?.actions ?? []).map((one) => ({ clause: one.clause, words: one.do }));
  const found = row.samples.filter((one) => !one.verdict.startsWith("meets")).map((one) => ({ clause: one.clause, words: "" }));
  const facts = factsOf(row.pool);
  const looked = facts ? fromKernel(facts.get("checklists")) ?? [] : [];
  const seen = new Set();
  return [...judged, ...found, ...looked].filter(({ clause }) => clause && !seen.has(clause) && seen.add(clause));
}

function clauses(state, row) {
  const offered = clausesOffered(row);
  if (offered.length === 0) return null;
  const onchange = (event) => set(state, { clause: event.target.value });
  return h(
    "label",
    { "data-key": "clause" },
    say("closing.clause"),
    h(
      "select",
      { onchange },
      h("option", { value: "" }, say("closing.clause.none")),
      offered.map(({ clause, words }) =>
        h("option", { value: clause, selected: clause === state.clause }, words ? `${clause}: ${words}` : clause),
      ),
    ),
  );
}

/** What is sent and kept. @param {ReturnType<typeof newClosing>} state @param {any} row */
export function closingBody(state, row) {
  if (state.kind === "shut") return { kind: "shut" };
  const order = state.order ? { by_order: true, authority: state.authority } : {};
  const reference = state.order && state.reference ? { reference: state.reference } : {};
  const clause = state.clause ? { clause: state.clause } : {};
  const because = (row.verdict?.actions ?? []).some((one) => one.clause === state.clause) && row.round ? { round: row.round.id } : {};
  const sample = row.samples.find((one) => one.clause === state.clause && !one.verdict.startsWith("meets"));
  return { kind: "closed", scope: state.scope, ...order, ...reference, ...clause, ...because, ...(sample && { round: sample.round }) };
}
