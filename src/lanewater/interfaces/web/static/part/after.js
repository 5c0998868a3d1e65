/** After a round is saved, in this order: people, reading, tell, look at, add, wait, who may open. */

import { h } from "../ground/dom.js";
import { here, may, poolName, pools, redraw } from "../ground/store.js";
import { clock } from "../ground/time.js";
import { say } from "../ground/words.js";
import { stateOf } from "../offline/view.js";
import { finished } from "../round/draft.js";
import { fails, overallOf } from "../round/outcome.js";
import { adviceView } from "./advice.js";
import { deciders } from "./call.js";
import { key, keyLink, phone } from "./key.js";
import { nextLane } from "./nextlane.js";
import { isOpen, resultView } from "./result.js";
import { readingWords, roundWords } from "./sentence.js";
import { tellList } from "./tell.js";

/**
 * @param {any} saved the server's answer, with the draft it came of
 * @param {string} pool
 * @param {() => void} again begins the next round of this pool
 */
export function afterRound(saved, pool, again) {
  const { verdict } = saved;
  const failing = verdict === null || fails(verdict);
  return h(
    "div",
    { class: "after", "data-key": `after ${saved.round}` },
    h("h1", {}, poolName(pool)),
    h("p", { class: "large saved", role: "status" }, say("after.saved", { at: clock(saved.recorded_at) })),
    saved.saved === "here" && h("p", { class: "small", "data-key": "on-record" }, say(`saved.${stateOf(saved.round)}`)),
    !failing && nextLane(pool),
    saved.why_not_judged && h("p", { role: "alert" }, saved.why_not_judged),
    verdict && resultView(verdict, null, { whole: true, pool }),
    early(saved.draft),
    changed(saved),
    failing && verdict && steps(saved, pool),
    !failing && mayAdd() && toAdd(saved, pool),
    whoOpens(pool),
    failing && nextLane(pool),
    onward(pool, again),
  );
}

/** A total that was read too early is said beside the result, and kept with the round. */
export function early(draft) {
  const words = Object.values(draft.early ?? {});
  if (words.length === 0) return null;
  return h("div", { class: "kept", "data-key": "early" }, words.map((text) => h("p", {}, h("b", {}, text))));
}

function changed({ draft, changed_to_pass: toPass }) {
  if (draft.changed.length + draft.tries.length === 0) return null;
  return h(
    "div",
    { class: "kept", "data-key": "changed" },
    draft.tries.length > 0 &&
      h("p", {}, say("test.first-try"), " ", draft.tries.map((one) => [h("s", {}, readingWords(one)), " "])),
    draft.changed.length > 0 &&
      h("p", {}, say("after.changed"), " ", draft.changed.map((one) => [h("s", {}, readingWords(one)), " "])),
    toPass && h("p", { class: "people" }, say("after.to-pass")),
  );
}

function steps(saved, pool) {
  return [
    isOpen(pool) &&
      h(
        "div",
        { class: "keys" },
        keyLink(say("out.of", { name: poolName(pool) }), `/out?pool=${pool}`, { kind: "stop" }),
      ),
    rulesAsk(saved.verdict),
    h("h2", {}, say(isOpen(pool) ? "after.tell-now" : "after.tell")),
    tellList(pool, saved.round, whatToSay(saved, pool)),
    saved.repeat_asked && [h("h2", {}, say("after.repeat")), h("p", {}, say("after.repeat.what"))],
    h("h2", {}, say("after.look")),
    h("ul", {}, ["pump", "feeder", "tank", "controller"].map((one) => h("li", {}, say(`lookat.${one}`)))),
    mayAdd() && [h("h2", {}, say("after.add")), adviceView(pool, saved.round)],
    h("h2", {}, say("after.wait")),
    h("p", {}, say("after.wait.what")),
  ];
}

function mayAdd() {
  return may("hand-dose") !== "no";
}

/** A round may meet the rules and miss the site's own targets: folded, so that nobody is pressed. */
function toAdd(saved, pool) {
  return h(
    "details",
    { class: "fold", "data-key": "fold add" },
    h("summary", {}, say("after.add")),
    adviceView(pool, saved.round),
  );
}

/** What the rules themselves ask for. @param {any} verdict */
export function rulesAsk(verdict) {
  const asked = [...new Map(verdict.actions.map((one) => [one.do, one])).values()];
  if (asked.length === 0) return null;
  return h(
    "ul",
    { class: "actions" },
    asked.map((one) => h("li", {}, say("after.rules-ask", { do: one.do, clause: one.clause }))),
  );
}

function whatToSay(saved, pool) {
  return roundWords(poolName(pool), finished(saved.draft), overallOf(saved.verdict));
}

function whoOpens(pool) {
  if (isOpen(pool)) return null;
  const own = may("open") === "yes";
  return [
    h("h2", {}, say("after.who-opens")),
    own && h("p", {}, say("after.you-open", { name: here.me.name, pool: poolName(pool) }), " ", keyLink(say("page.now"), "/")),
    !own &&
      h(
        "ul",
        { class: "call-list" },
        deciders().map((one) =>
          h("li", { "data-key": one.id ?? one.contact }, h("span", {}, one.name), one.phone && phone(one.phone)),
        ),
      ),
    !own && deciders().length === 0 && h("p", {}, say("call.none")),
  ];
}

function onward(pool, again) {
  const others = pools().filter((one) => one.pool !== pool);
  return h(
    "div",
    { class: "keys", "data-key": "onward" },
    others.map((one) => keyLink(say("look.test", one), `/test?pool=${one.pool}`, { "data-key": one.pool })),
    key(say("after.again", { name: poolName(pool) }), () => {
      again();
      redraw();
    }),
    keyLink(say("page.now"), "/"),
  );
}
