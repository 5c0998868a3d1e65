/** Help, not blame: the next thing to do with one's hands comes first, and largest. */

import { draw } from "../drawing/draw.js";
import { h } from "../ground/dom.js";
import { redraw } from "../ground/store.js";
import { listed, say, sayOr, told } from "../ground/words.js";
import { HELP } from "../guide/doubts.js";
import { activate, dilute, rowsAt } from "../round/bench.js";
import { again, fieldOf, keep } from "../round/draft.js";
import { key } from "./key.js";

const STRONG = ["not-judged", "not-believable"];

/**
 * The step that a finding asks for.
 * @param {any} finding
 * @param {import("../round/bench.js").Bench | null} bench null once the round is saved
 * @param {() => void} after once a field waits for its number
 */
export function doubtHelp(finding, bench, after) {
  const help = HELP[finding.id];
  if (help === undefined) {
    const again = bench !== null && STRONG.includes(finding.effect) && stepKey(finding, { act: "again" }, bench, after);
    return [finding.do && h("p", {}, told(finding.do)), again];
  }
  return h(
    "div",
    { class: "help", "data-key": "help" },
    draw(help.draw, { spoken: false }),
    h(
      "div",
      {},
      h("p", { class: "help-step" }, say(`help.${finding.id}`)),
      help.asks && h("p", {}, say(`help.${finding.id}.ask`)),
      bench && stepKey(finding, help, bench, after),
    ),
  );
}

/** Where a finding is: the kernel names the point in its words alone; the longest name that fits. */
function pointsOf(finding, bench) {
  const points = [bench.draft.point, ...bench.draft.points];
  const named = points.filter((point) => point && finding.why.includes(` at ${point}`));
  return named.length ? named.sort((one, other) => other.length - one.length) : points;
}

function stepKey(finding, help, bench, after) {
  const { draft } = bench;
  for (const point of pointsOf(finding, bench)) {
    const names = (help.only ?? finding.parameters).filter((name) => fieldOf(draft, name, point)?.value || fieldOf(draft, name, "")?.value);
    if (help.act === "none" || names.length === 0) continue;
    const words = say(`help.key.${help.act}`, { names: listed(names.map((name) => say(`short.${name}`))), parts: help.parts ?? 1 });
    const press = () => {
      ACTS[help.act](bench, names, point, help.parts ?? 1);
      redraw();
      after();
    };
    return key(words, press, { kind: "main", "data-key": "again" });
  }
  return null;
}

const ACTS = { again: testAgain, kit: otherKit, dilute: testDiluted, look: typeAgain };

/** The numbers so far stay as first tries, struck, in sight. */
function testAgain(bench, names, point) {
  again(bench.draft, names, point);
  const first = rowsAt(bench, point).find((one) => names.includes(one.parameter));
  if (first) activate(bench, first);
}

function testDiluted(bench, names, point, parts) {
  testAgain(bench, names, point);
  for (const parameter of names) dilute(bench, { parameter, point }, parts);
}

function otherKit(bench, names, point) {
  testAgain(bench, names, point);
  bench.draft.kit = null;
  keep(bench.draft);
}

/** The field takes the next digits; its number stands until then. */
function typeAgain(bench, names, point) {
  const first = rowsAt(bench, point).find((one) => names.includes(one.parameter));
  if (first) activate(bench, first);
}

/** Whether what a finding offers is another test. @param {any} finding */
export function asksForTest(finding) {
  return ["again", "dilute", "kit"].includes(HELP[finding.id]?.act);
}

/** What stands at the head of a finding, "" where there is nothing to say. @param {any} finding */
export function doubtName(finding) {
  const name = sayOr(`short.${finding.about}`, "");
  return sayOr(`finding.${finding.id}`, name && `${name}.`);
}
