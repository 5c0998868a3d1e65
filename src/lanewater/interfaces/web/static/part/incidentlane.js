/** An open incident in one line, wherever a pool is shown: what, where, since when, and its clock. */

import { h } from "../ground/dom.js";
import { follow } from "../ground/router.js";
import { here, poolName } from "../ground/store.js";
import { when } from "../ground/time.js";
import { listed, say } from "../ground/words.js";
import { incidentsOf, openIncidents } from "../offline/incidents.js";
import { keyLink } from "./key.js";
import { who } from "./sentence.js";
import { outcomeShape } from "./shape.js";

const SHOWN_ON = ["/", "/incidents"];

const hrefOf = ({ incident }) => `/incidents?incident=${incident}`;

/** Where its clock stands, in a few words; never a promise. @param {any} incident */
export function clockWords({ clock: running, quiet_until_ms: quiet, may_end: mayEnd, steps }) {
  if (mayEnd) return say("incidents.clock.all-met");
  if (quiet) return say("incidents.clock.quiet", { at: when(quiet) });
  if (running?.reached_ms) return say("incidents.clock.reached", { at: when(running.reached_ms) });
  if (running?.not_before_ms) return say("incidents.clock.not-before", { at: when(running.not_before_ms) });
  if (running) return say("incidents.clock.no-time");
  const count = steps.filter((one) => ["to-do", "locked"].includes(one.state)).length;
  return say("incidents.clock.steps", { count });
}

/** "Formed stool, Main: not before 11:02, if the next reading holds". */
const stripWords = (one) => say("incidents.strip", { kind: kindWords(one), pool: poolName(one.pool), clock: clockWords(one) });

const kindWords = ({ kind }) => say(`incident.kind.${kind}`);

/** Every open incident as a lane of its own. @param {any[]} found */
export function incidentLanes(found) {
  return h(
    "ol",
    { class: "lanes" },
    found.map((one) =>
      h(
        "li",
        { class: "lane lane-heavy", "data-key": one.incident },
        h("div", { class: "lane-end" }, outcomeShape("stop")),
        h(
          "div",
          { class: "lane-body" },
          h("h3", { class: "lane-name" }, say("incidents.title", { kind: kindWords(one), pool: poolName(one.pool) })),
          h("p", { class: "lane-sentence" }, h("strong", {}, outWords(one))),
          h("p", { class: "lane-sentence clock-words" }, clockWords(one)),
          keyLink(say("incidents.go-on"), hrefOf(one), { kind: "main", "data-key": "go-on", "aria-label": say("incidents.go-on-with", { kind: kindWords(one), pool: poolName(one.pool) }) }),
        ),
      ),
    ),
  );
}

/** "Everyone out of Main and Teaching since 10:02, Tove Testerlund." */
export function outWords({ pools, since, by }) {
  return say("incidents.out-since", { pools: listed(pools.map(poolName)), at: when(since), by: who(by, here.now?.people) });
}

/** In a pool's lane on Now. @param {string} pool */
export function laneIncidents(pool) {
  return incidentsOf(pool).map((one) =>
    h(
      "p",
      { class: "lane-incident", "data-key": one.incident },
      keyLink(stripWords(one), hrefOf(one), { kind: "stop" }),
    ),
  );
}

/** On every page but those that show it anyway: nobody overlooks that one is open. */
export function incidentStrip() {
  const found = SHOWN_ON.includes(location.pathname) ? [] : openIncidents();
  if (found.length === 0) return null;
  return h(
    "nav",
    { class: "incident-strip", "aria-label": say("incidents.open"), "data-key": "incident-strip" },
    found.map((one) =>
      h(
        "a",
        { class: "key key-stop", href: hrefOf(one), onclick: follow, "data-key": one.incident },
        h("span", {}, stripWords(one)),
      ),
    ),
  );
}
