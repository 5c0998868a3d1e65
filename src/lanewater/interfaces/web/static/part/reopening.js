/** What the rules want before a pool that was closed for cause is opened: met or not, with the clause. */

import { h } from "../ground/dom.js";
import { redraw } from "../ground/store.js";
import { say, sayOr } from "../ground/words.js";
import { outcomeShape } from "./shape.js";

const MARK = { yes: "meets", no: "does-not-meet", "not-known": "not-judged" };

/** @param {any} row of the Now page @param {Set<string>} confirmed what the person here says is so */
export function criteria(row, confirmed) {
  if (row.reopening.length === 0) return null;
  return h(
    "div",
    { class: "criteria", "data-key": "criteria" },
    h("p", { class: "legend" }, say("reopening.title")),
    h(
      "ul",
      { class: "bare" },
      row.reopening.map((one) => h("li", { "data-key": one.id }, one.kind === "duty" ? tick(one, confirmed) : met(one))),
    ),
    h("p", { class: "small" }, say("reopening.who-decides")),
  );
}

function met(one) {
  const state = one.binds || one.met === "yes" ? one.met : "not-known";
  return [outcomeShape(MARK[state]), h("span", {}, h("b", {}, say(`reopening.met.${state}`)), " ", wordsOf(one), " ", whyOf(one))];
}

/** "Free chlorine is 2.0 or more (s. 18)". */
function wordsOf({ words, clause }) {
  return clause ? say("reopening.words", { words, clause }) : words;
}

function whyOf({ why, value }) {
  return why === "met" ? "" : say(`reopening.why.${why}`, { value });
}

function tick(one, confirmed) {
  const onchange = (event) => {
    if (event.target.checked) confirmed.add(one.id);
    else confirmed.delete(one.id);
    redraw();
  };
  return h(
    "label",
    { class: "tick" },
    h("input", { type: "checkbox", checked: confirmed.has(one.id), onchange }),
    h("span", {}, wordsOf(one)),
  );
}

/** Whether the person here said that all they have to see to was seen to. */
export function allSeenTo(row, confirmed) {
  return row.reopening.every((one) => one.kind !== "duty" || confirmed.has(one.id));
}

/** "reopening:ID" and its like, in words; "" for what is none of them. */
export function reopeningWhy(id, row) {
  if (id === "closed-by-order") return say("why.closed-by-order");
  if (id.startsWith("sample-says-")) return say("why.sample", { results: row.samples.map(sampleWords).join(", ") });
  if (!id.startsWith("reopening:")) return "";
  const one = row.reopening.find((other) => other.id === id.slice("reopening:".length));
  return one ? `${wordsOf(one)} ${whyOf(one)}` : id;
}

/** "E. coli 40". */
export function sampleWords({ parameter, value }) {
  return `${sayOr(`short.${parameter}`, parameter)} ${value}`;
}
