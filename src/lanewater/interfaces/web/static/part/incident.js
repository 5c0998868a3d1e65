/** One open incident: what to do now and whom to tell, then the other steps, the rules' procedure, and how it ends. */

import { h } from "../ground/dom.js";
import { poolName } from "../ground/store.js";
import { clock, when } from "../ground/time.js";
import { listed, say } from "../ground/words.js";
import { stateOf } from "../offline/view.js";
import { callList } from "./call.js";
import { fold } from "./fold.js";
import { endPart, leaveEnding } from "./incidentend.js";
import { clockWords, outWords } from "./incidentlane.js";
import { leaveNotes, notesPart } from "./incidentnotes.js";
import { clockPart, leaveRoutes, routesPart } from "./incidentroutes.js";
import { leaveSteps, nowPart, otherSteps } from "./incidentsteps.js";
import { keyLink } from "./key.js";
import { outcomeShape } from "./shape.js";
import { tellList } from "./tell.js";

/** Another incident is looked at: what was half typed belongs to this one. */
export function leaveIncident() {
  leaveSteps();
  leaveRoutes();
  leaveNotes();
  leaveEnding();
}

/**
 * @param {any} incident as `openIncidents` gives it
 * @param {(ended: any) => void} onEnd
 */
export function incidentView(incident, onEnd) {
  return h(
    "div",
    { class: "incident", "data-key": incident.incident },
    head(incident),
    h("div", { class: "incident-do", "data-key": "do" }, nowPart(incident), clockPart(incident), people(incident), otherSteps(incident)),
    h("div", { class: "incident-side", "data-key": "side" }, routesPart(incident), endPart(incident, onEnd), notesPart(incident)),
  );
}

function head(incident) {
  const { kind, pool, since, facts } = incident;
  return h(
    "section",
    { class: "stop incident-head", "data-key": "head" },
    h(
      "div",
      { class: "stop-head" },
      outcomeShape("stop"),
      h("h1", {}, say("incidents.title", { kind: say(`incident.kind.${kind}`), pool: poolName(pool) })),
    ),
    h("p", { class: "people" }, outWords(incident)),
    h("p", { class: "people clock-words", "data-key": "stands" }, clockWords(incident)),
    h("p", { class: "saved", role: "status" }, say("out.saved", { at: clock(facts.recorded ?? since) })),
    facts.continued && h("p", { class: "people", "data-key": "continued" }, say("action.incident-continued", { kind: say(`incident.kind.${kind}`) })),
    stateOf(facts.entry) !== "recorded" && h("p", { class: "small", "data-key": "on-record" }, say(`saved.${stateOf(facts.entry)}`)),
    lookNow(incident),
  );
}

/** Whoever swims on the same filter swims in the same water: somebody looks, now. */
function lookNow({ pool, pools, steps }) {
  const others = pools.filter((one) => one !== pool);
  const isOut = steps.some((one) => one.id === "people-out" && one.state === "done");
  if (others.length === 0 || isOut) return null;
  return h(
    "ul",
    { class: "also" },
    others.map((one) =>
      h(
        "li",
        { "data-key": one },
        h("span", {}, say("incidents.look-now", { pool: poolName(one) })),
        keyLink(say("lane.look"), `/look?pool=${one}`, { "aria-label": say("lane.look-pool", { name: poolName(one) }) }),
      ),
    ),
  );
}

function people(incident) {
  const { kind, pool, pools, since, facts } = incident;
  const words = { kind: say(`incident.kind.${kind}`), pool: poolName(pool), pools: listed(pools.map(poolName)), at: when(since) };
  return h(
    "section",
    { "data-key": "people" },
    h(
      "details",
      { class: "call-card", "data-key": "call" },
      h("summary", { class: "key" }, say("call.title")),
      callList(),
    ),
    fold("tell", say("out.tell"), false, tellList(pool, facts.entry, say("incidents.tell", words))),
  );
}
