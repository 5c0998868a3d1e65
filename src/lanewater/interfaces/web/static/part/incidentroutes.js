/**
 * What the rules ask: every route that they permit, in their own order, each with its clause and its own
 * "not before". A person chooses; nothing here sorts, marks or prefers one. Then the chosen route's clock.
 */

import { h } from "../ground/dom.js";
import { here, may, poolName, redraw } from "../ground/store.js";
import { when } from "../ground/time.js";
import { listed, say, told } from "../ground/words.js";
import { chooseRoute } from "../offline/incidents.js";
import { fold } from "./fold.js";
import { key } from "./key.js";
import { newPin, pinPad } from "./pin.js";
import { problem } from "./problem.js";
import { readingWords, who } from "./sentence.js";

const THOUSAND = 1000;
const SHOWN_READINGS = 8;
/** The steps that are about what the rules ask. */
const ASKING = ["route", "ask-authority"];
const state = { route: "", pin: newPin(), error: null };

export function leaveRoutes() {
  Object.assign(state, { route: "", pin: newPin(), error: null });
}

/** @param {any} incident */
export function routesPart(incident) {
  const { procedures, steps } = incident;
  const asked = steps.some((one) => ASKING.includes(one.id));
  if (procedures.length === 0 && !asked) return null;
  return h(
    "div",
    { id: "routes", "data-key": "routes" },
    fold(
      "procedures",
      say("incidents.routes"),
      ASKING.includes(incident.next),
      procedures.length === 0
        ? h("p", { class: "people" }, say("incidents.routes.none"))
        : [
            h("p", {}, say("incidents.routes.order")),
            !mayChoose() && !incident.clock && h("p", { class: "people" }, say("incidents.route.who")),
            procedures.map((one) => procedureView(incident, one)),
          ],
    ),
  );
}

function procedureView(incident, procedure) {
  return h(
    "section",
    { class: "procedure", "data-key": procedure.id },
    h("p", {}, h("b", {}, procedure.clause), ` ${procedure.words}`),
    procedure.archived && h("p", { class: "people" }, say("incidents.routes.archived")),
    procedure.unstabilised_only && h("p", { class: "people" }, say("incidents.routes.unstabilised")),
    h("ol", { class: "routes" }, procedure.routes.map((route) => routeView(incident, procedure, route))),
    procedure.reopen && h("p", {}, h("b", {}, say("incidents.routes.reopen")), ` ${procedure.reopen}`),
    procedure.assumed.length > 0 && h("p", { class: "small" }, say("incidents.routes.assumed", { what: procedure.assumed.map(told).join(" ") })),
  );
}

function routeView(incident, procedure, route) {
  const chosen = route.chosen;
  return h(
    "li",
    { class: `route${chosen ? " route-chosen" : ""}`, "data-key": route.id },
    h("p", { class: "route-words" }, h("b", {}, route.words), " ", h("small", {}, procedure.clause)),
    h("p", { class: "route-time" }, timeWords(route)),
    chosen && h("p", {}, h("strong", {}, chosenWords(incident))),
    !chosen && choosing(incident, procedure, route),
  );
}

/** "Not before 11:02, if the next reading holds." */
function timeWords(route) {
  if (route.reached_ms) return say("incidents.route.reached", { at: when(route.reached_ms) });
  if (route.not_before_ms) return say("incidents.route.not-before", { at: when(route.not_before_ms) });
  if (route.reachable === false) return say("incidents.route.out-of-reach");
  return say("incidents.route.no-time");
}

function chosenWords({ facts }) {
  return say("incidents.route.chosen", { at: when(facts.route.at), by: who(facts.route.by, here.now?.people) });
}

const mayChoose = () => ["end-incident", "close"].some((what) => may(what) === "yes");

function choosing(incident, procedure, route) {
  if (!route.may_choose) return h("p", { class: "small" }, say("incidents.route.not-here"));
  if (!mayChoose()) return null;
  const id = `${procedure.id} ${route.id}`;
  const toggle = () => {
    Object.assign(state, { route: state.route === id ? "" : id, pin: newPin(), error: null });
    redraw();
  };
  const words = say("incidents.route.choose", { route: route.words });
  return [
    key(say("incidents.route.choose-this"), toggle, {
      "aria-expanded": state.route === id ? "true" : "false",
      "aria-label": words,
      "data-key": "choose",
    }),
    state.route === id &&
      h(
        "section",
        { class: "panel", "aria-label": words, "data-key": "choosing" },
        h("p", {}, say("incidents.route.choosing")),
        problem(state.error),
        h("p", {}, say("opening.pin", { name: here.me.name })),
        pinPad(state.pin, say("incidents.route.choose-this"), (pin) => choose(incident, procedure, route, pin)),
      ),
  ];
}

async function choose(incident, procedure, route, pin) {
  try {
    await chooseRoute(incident, { procedure: procedure.id, route: route.id, pin });
    leaveRoutes();
  } catch (error) {
    state.error = error;
  }
  redraw();
}

// --- The clock ----------------------------------------------------------------------------------

/** @param {any} incident */
export function clockPart(incident) {
  const { clock: running, quiet_until_ms: quiet, quiet_minutes: minutes, quiet_assumed: assumed } = incident;
  if (incident.kind === "thunder") {
    return h(
      "section",
      { "data-key": "clock" },
      h("h2", {}, say("incidents.clock")),
      h("p", { class: "clock-now" }, quiet ? say("incidents.quiet.until", { at: when(quiet) }) : say("incidents.quiet.over")),
      h("p", { class: "small" }, say(assumed ? "incidents.quiet.assumed" : "incidents.quiet.set", { minutes })),
    );
  }
  if (incident.still_minutes !== null && incident.still_minutes !== undefined) {
    return h("p", { class: "people", "data-key": "still" }, say("incidents.clock.still", { minutes: incident.still_minutes }));
  }
  if (!running) return null;
  return h(
    "section",
    { "data-key": "clock" },
    h("h2", {}, say("incidents.clock")),
    h("p", { class: "clock-now" }, timeWords(running)),
    chosenRoute(incident),
    running.started_ms && h("p", {}, say("incidents.clock.since", { at: when(running.started_ms) })),
    running.started_ms && h("p", { "data-key": "counted" }, countedWords(running)),
    running.pools?.length > 1 && h("ul", {}, running.pools.map((one) => h("li", { "data-key": one.pool }, `${poolName(one.pool)}: ${timeWords(one)}`))),
    doubted(incident.doubtful),
    findings(running.findings),
    lowestReadings(incident),
  );
}

/** Which route it goes by, and whose choice that is. */
function chosenRoute(incident) {
  const chosen = incident.procedures.flatMap(({ clause, routes }) => routes.filter((one) => one.chosen).map(({ words }) => `${words} ${clause}`));
  return chosen.length > 0 && h("p", { "data-key": "chosen" }, h("b", {}, chosen[0]), " ", chosenWords(incident));
}

function countedWords({ target_ct: ct, ct_conservative: done, least_seconds: seconds, held_seconds: held }) {
  const parts = [];
  if (ct > 0) parts.push(say("incidents.clock.counted", { done: String(Math.floor(done / THOUSAND)), whole: String(Math.ceil(ct / THOUSAND)) }));
  if (seconds > 0) parts.push(say("incidents.clock.held", { done: String(Math.floor(held / 60)), minutes: String(Math.ceil(seconds / 60)) }));
  return parts.join(" ");
}

/** A number that is in doubt holds no clock up. */
function doubted(instants) {
  if (instants.length === 0) return null;
  const at = listed([...new Set(instants.map((one) => when(one)))]);
  return h("p", { class: "people", "data-key": "doubted" }, say("incidents.clock.doubtful", { at }));
}

/** What restarted it, what does not count, what is missing: why, and what to do. */
function findings(rows) {
  if (rows.length === 0) return null;
  return h(
    "ul",
    { class: "clock-why" },
    rows.map((one) =>
      h(
        "li",
        { "data-key": one.id },
        one.at && h("b", {}, `${[...new Set(one.at.map((second) => when(second * THOUSAND)))].join(", ")} `),
        `${told(one.why)} `,
        h("strong", {}, told(one.do)),
      ),
    ),
  );
}

/** At each time of each pool the lowest of the points: what the clock goes by. */
function lowestReadings({ facts }) {
  const rows = facts.rounds.flatMap((round) => lowestOf(round)).slice(-SHOWN_READINGS).reverse();
  if (rows.length === 0) return h("p", {}, say("incidents.clock.no-reading"));
  return fold(
    "readings",
    say("incidents.clock.lowest"),
    false,
    h(
      "ul",
      { class: "readings" },
      rows.map((one) =>
        h(
          "li",
          { "data-key": `${one.pool} ${one.at}` },
          h("b", { class: "at" }, `${when(one.at)} `),
          `${poolName(one.pool)}: ${one.words}`,
        ),
      ),
    ),
  );
}

function lowestOf({ pool, at, readings }) {
  const words = ["free_chlorine", "ph"].flatMap((parameter) => {
    const rows = readings.filter((one) => one.parameter === parameter).map((one) => ({ ...one, number: numberOf(one) }));
    if (rows.length === 0) return [];
    const [lowest] = rows.sort((one, other) => (parameter === "ph" ? other.number - one.number : one.number - other.number));
    return [readingWords(lowest)];
  });
  return words.length ? [{ pool, at, words: words.join(", ") }] : [];
}

const numberOf = ({ value, dilution }) => Number(value.replace(/[<>]/, "")) * (dilution ?? 1);
