/** Where two devices disagree about a pool: both sides in words, and the choice of who decides. */

import { h } from "../ground/dom.js";
import { here, redraw } from "../ground/store.js";
import { when } from "../ground/time.js";
import { say } from "../ground/words.js";
import { choice } from "./key.js";
import { who } from "./sentence.js";

const DISAGREE = "devices-disagree";

/** What waits to be settled at a pool, if anything does. @param {any} row of the Now page */
export function disagreement(row) {
  return row.open_actions.find((one) => one.id === DISAGREE);
}

/** "opened at 06:31 by Dagny Dutyvik, on Poolside tablet" */
function sideWords(side) {
  const what = side.stop ? say("settle.out", { stop: say(`stop.${side.stop}`) }) : say(`settle.${side.said}`);
  return say("settle.at", { what, at: when(side.at), by: who(side.by, here.now?.people), device: side.device });
}

/** @param {any[]} sides */
export function sidesWords(sides) {
  return sides.map(sideWords).join("; ");
}

/** Other closings that stand beside the one that the lane names. */
export function alsoClosed(row) {
  return row.also_closed.map((side) =>
    h("p", { class: "small", "data-key": side.entry }, say("settle.also", { side: sideWords(side) })),
  );
}

/** What keeps a pool from being settled as open, beside the disagreement itself. */
export function inTheWay(row) {
  return row.opening.why.filter((id) => id !== DISAGREE);
}

/** @param {{kind: string}} state */
export function settleChoice(state) {
  const set = (kind) => {
    state.kind = kind;
    redraw();
  };
  const options = ["closed", "open"].map((kind) => [kind, say(`settle.to.${kind}`)]);
  return [h("p", {}, say("settle.what")), choice(say("settle.as"), options, state.kind, set, { name: "settle" })];
}

/** What is sent: every line that was shown as in conflict, and how the pool stands. */
export function settleBody(row, state, body) {
  return { ...body, status: state.kind, entries: disagreement(row).entries };
}
