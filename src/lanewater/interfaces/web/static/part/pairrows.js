/** What hangs on two readings of one point: the stand of the second tablet, and combined chlorine. */

import { h } from "../ground/dom.js";
import { clock, countdown } from "../ground/time.js";
import { unitOf } from "../ground/unit.js";
import { say } from "../ground/words.js";
import { kitInUse, standLeft } from "../round/bench.js";
import { fieldOf } from "../round/draft.js";
import { combined } from "../round/engine.js";
import { limitWords } from "../round/limits.js";

/** The stand that runs before total is read, null where none does. */
export function stand(bench, point) {
  const left = standLeft(bench, point);
  const since = bench.draft.tablet[point];
  if (!since || fieldOf(bench.draft, "total_chlorine", point)?.value) return null;
  if (left === null) return h("p", { class: "stand" }, say("stand.since", { at: clock(since) }));
  const whole = countdown(kitInUse(bench).total_stand_s);
  const running = { class: "stand", "data-stand": `${bench.draft.pool}@${point}` };
  if (left > 0) return h("p", running, say("stand.runs", { left: countdown(left), whole }));
  return h("p", { class: "stand", role: "status" }, say("stand.over"));
}

/** Combined chlorine as soon as both are in and can be right; null before. */
export function combinedRow(bench, point, rules) {
  const [free, total] = ["free_chlorine", "total_chlorine"].map((name) => fieldOf(bench.draft, name, point));
  if (!free?.value || !total?.value) return null;
  const found = combined(free, total, bench.context, bench.draft);
  if (found === null || !found.possible) return null;
  const value = found.zero ? say("combined.zero") : say("combined.value", found);
  return h(
    "div",
    { class: "combined", "data-key": `combined@${point}` },
    h("span", { class: "field-name" }, say("name.combined_chlorine")),
    h("span", { class: "field-value" }, value, " ", h("small", {}, unitOf("free_chlorine"))),
    h("span", { class: "field-limit" }, limitWords(rules, "combined_chlorine")),
  );
}
