/** A doubtful number opens help: why, and the next physical step. Nothing is refused or hidden. */

import { h } from "../ground/dom.js";
import { redraw } from "../ground/store.js";
import { say, told } from "../ground/words.js";
import { activate, rowsAt } from "../round/bench.js";
import { again, fieldOf, keep, swap } from "../round/draft.js";
import { combined, judge, surprises } from "../round/engine.js";
import { showActive } from "./benchview.js";
import { asksForTest, doubtHelp, doubtName } from "./doubthelp.js";
import { key } from "./key.js";
import { readingWords } from "./sentence.js";

const PAIR = ["free_chlorine", "total_chlorine"];
const STRONG = ["not-judged", "not-believable"];
/** Findings that the head of the result already says. */
const SAID = ["inside-common-practice", "of-what-was-tested"];

/**
 * @param {any} answer a judgement
 * @param {import("../round/bench.js").Bench | null} bench null once the round is saved
 * @param {{whole: boolean}} options while numbers are still to come only those that are in are doubted
 */
export function doubts(answer, bench, { whole }) {
  const shown = (one) => !SAID.includes(one.id) && (whole || one.parameters.length > 0);
  const paired = (one) => bench !== null && one.id === "impossible-pair";
  const found = answer.findings.filter((one) => shown(one) && !paired(one));
  if (bench && whole) found.push(...surprisesOf(answer, bench));
  const said = found.filter((one) => !saidBetter(one, found));
  if (said.length === 0) return null;
  return h(
    "ul",
    { class: "doubts", "data-key": "doubts" },
    said.map((one) =>
      h(
        "li",
        { class: STRONG.includes(one.effect) ? "strong" : "", "data-key": `${one.id} ${one.about}` },
        h("p", { class: "doubt-name" }, h("b", {}, doubtName(one))),
        doubtHelp(one, bench, () => showActive(false)),
        h("p", { class: "small" }, told(one.why)),
      ),
    ),
  );
}

/** A surprise is not tested again as it was where another finding says how: a bleached one is diluted. */
function saidBetter(finding, found) {
  if (finding.id !== "surprising") return false;
  return found.some((one) => one.id !== "surprising" && asksForTest(one) && one.parameters.includes(finding.about));
}

/** One surprising number is tested again before anything is built on it. */
function surprisesOf(answer, bench) {
  if (answer.results.every((row) => row.verdict.startsWith("meets"))) return [];
  return surprises(bench.context, bench.draft).map((parameter) => ({
    id: "surprising",
    about: parameter,
    parameters: [parameter],
    effect: "not-believable",
    why: say("surprise.why", { name: say(`short.${parameter}`) }),
    do: say("surprise.do"),
  }));
}

function repeat(bench, parameters, point) {
  again(bench.draft, parameters, point);
  const first = rowsAt(bench, point).find((one) => parameters.includes(one.parameter));
  if (first) activate(bench, first);
  redraw();
  showActive(false);
}

/** The pair of free and total that cannot both be right and waits for an answer, or null. */
export function asksForRepeat(bench) {
  if (bench.draft.swapRefused) return null;
  for (const point of [bench.draft.point, ...bench.draft.points]) {
    const [free, total] = PAIR.map((name) => fieldOf(bench.draft, name, point));
    if (free?.value && total?.value && combined(free, total, bench.context, bench.draft)?.possible === false) {
      return { point, free, total };
    }
  }
  return null;
}

/** Total under free: the test is done again first; wrong boxes come second. No red page. */
export function pairView(answer, bench, onKeep) {
  const finding = answer.findings.find((one) => one.id === "impossible-pair");
  const found = finding ? asksForRepeat(bench) : null;
  if (found === null) return null;
  return h(
    "section",
    { class: "pair", role: "alert", "data-key": "pair" },
    h("h2", {}, say("pair.title")),
    h("p", { class: "people" }, say("pair.why")),
    h("p", {}, `${readingWords(found.free)}, ${readingWords(found.total)}. ${told(finding.why)}`),
    h("p", {}, h("b", {}, say("pair.not-judged"))),
    h(
      "ol",
      {},
      ["rinse", "fresh", "free", "total"].map((step) => h("li", {}, say(`pair.step.${step}`))),
    ),
    key(say("pair.again"), () => repeat(bench, PAIR, found.point), { kind: "main", "data-key": "again" }),
    key(say("pair.swap"), () => exchange(bench, found.point), { "data-key": "swap" }),
    key(say("pair.keep"), onKeep, { "data-key": "keep" }),
  );
}

/** Both stay on record. Where the exchange would turn a fail into a pass it is only noted. */
function exchange(bench, point) {
  const { draft, context } = bench;
  const tried = structuredClone(draft);
  swap(tried, point);
  const passes = judge(context, tried, Date.now()).overall.startsWith("meets");
  if (passes && failedAlone(draft, context, point)) {
    draft.notes.push(say("pair.swap-refused-note"));
    draft.swapRefused = true;
    keep(draft);
  } else {
    swap(draft, point);
    draft.notes.push(say("pair.swapped-note"));
    keep(draft);
  }
  redraw();
}

/** Whether the free reading as typed fails by itself, with no total beside it to doubt it. */
function failedAlone(draft, context, point) {
  const alone = structuredClone(draft);
  delete alone.fields[`total_chlorine@${point}`];
  return judge(context, alone, Date.now()).results.some(
    (row) => row.parameter === "free_chlorine" && !/^(meets|not-judged)/.test(row.verdict),
  );
}
