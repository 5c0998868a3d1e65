/** A pool's lane in words: who says so, since when, what was read, what comes next. */

import { here } from "../ground/store.js";
import { when } from "../ground/time.js";
import { numberShown } from "../ground/locale.js";
import { say, sayOr } from "../ground/words.js";
import { shownTemperature } from "../ground/unit.js";

/** A person as the sentence names them. @param {string} id @param {Record<string, any>} people */
export function who(id, people = {}) {
  if (id === "unlisted") return say("who.not-on-list");
  const known = people[id] ?? here.people.find((one) => one.id === id);
  return known?.name || say("who.somebody");
}

/** "OPEN since 06:31, Ana Costa." @param {any} row of the Now page */
export function statusSentence(row, people) {
  const values = {
    since: row.since ? when(row.since) : "",
    by: row.by ? who(row.by, people) : "",
    reason: reasonWords(row.reason),
  };
  if (row.status === "open" && row.word_of) {
    return say("status.open.by-telephone", { ...values, word: who(row.word_of, people) });
  }
  if (row.status === "open" && row.standing) return say("status.open.standing", values);
  if (row.status === "unknown") return say("status.unknown");
  if (row.status === "shut" && !row.since) return say("status.shut-hours");
  return say(`status.${row.status}`, values);
}

function reasonWords(reason) {
  const stop = (reason ?? "").replace(/^house stop: /, "");
  return sayOr(`stop.${stop}`, reason ?? "");
}

/** One reading as people say it: "Free 1.52". */
export function readingWords(reading, context = {}) {
  if (reading.parameter === "clarity") return say(`clarity.${reading.value}`);
  if (reading.parameter === "circulation") return say(`circulation.${reading.value}`);
  const name = say(`short.${reading.parameter}`);
  const value = reading.parameter === "temperature_c" ? shownTemperature(reading) : shownValue(reading);
  return [name, value, reading.point && say("at.point", { point: reading.point }), context.unit]
    .filter(Boolean)
    .join(" ");
}

/** A value as typed, with what it was diluted by. */
export function shownValue(reading) {
  if ((reading.dilution ?? 1) === 1) return numberShown(reading.value);
  return say("value.diluted", { value: reading.value, factor: reading.dilution });
}

const MAIN = ["free_chlorine", "total_bromine", "ph"];

/** The one point where all of a round was taken, or "". */
export function onePoint(readings) {
  const points = [...new Set(readings.map((one) => one.point).filter(Boolean))];
  return points.length === 1 ? points[0] : "";
}

/** Readings without the point that is said once for all of them. */
export function withoutPoint(readings) {
  return onePoint(readings) ? readings.map((one) => ({ ...one, point: "" })) : readings;
}

/** The last try of each parameter at each point; first tries stay on the record. */
function lastTries(readings) {
  return [...new Map(readings.map((one) => [`${one.parameter}@${one.point ?? ""}`, one])).values()];
}

/** "Free 1.52 at 05:51." @param {any} round */
export function mainReading(round) {
  if (!round) return say("now.no-round");
  const point = onePoint(round.readings);
  for (const parameter of MAIN) {
    const found = lastTries(withoutPoint(round.readings)).filter((one) => one.parameter === parameter);
    if (found.length) {
      const reading = found.map(readingWords).join(", ");
      return say(point ? "now.read-at" : "now.read", { reading, point, at: when(round.at) });
    }
  }
  return say("now.read", { reading: say("now.partly"), at: when(round.at) });
}

const TOLD_FIRST = ["free_chlorine", "total_bromine", "total_chlorine", "ph", "clarity"];

/** What to say of a round on the telephone: "Main: Free 0.62, Total 0.78, pH 7.43, …". */
export function roundWords(pool, readings, overall) {
  const place = (one) => (TOLD_FIRST.indexOf(one.parameter) + 1 || TOLD_FIRST.length + 1);
  const said = [...readings].sort((one, other) => place(one) - place(other)).map(readingWords);
  const outcome = overall ? say(`outcome.${overall}`) : "";
  return say("tell.round", { pool, readings: said.join(", "), outcome });
}

/** Everything else of a round, in one line. */
export function otherReadings(round) {
  const main = MAIN.find((one) => round.readings.some((row) => row.parameter === one));
  return lastTries(withoutPoint(round.readings))
    .filter((one) => one.parameter !== main)
    .map(readingWords)
    .join(" · ");
}

/** "Next test by 09:51." @param {any} due */
export function dueSentence(due) {
  if (due.at === null) return say(`due.never.${due.why}`);
  return say(due.late ? "due.late" : "due.by", { at: when(due.at) });
}

export function dueWhy(due) {
  const minutes = due.every_minutes;
  const every =
    minutes % 60 === 0 ? say("every.hours", { count: minutes / 60 }) : say("every.minutes", { count: minutes });
  return say(`due.why.${due.why}`, { every, detail: due.detail ?? "" });
}

/** "Against the rules: meets." with when and through what it was heard. */
export function resultSentence(row) {
  if (!row.verdict) return "";
  return say(`outcome.${overallShown(row.verdict)}`);
}

/** A pass that a change made is none until the test is repeated. */
export function overallShown(verdict) {
  if (verdict.changed_to_pass && verdict.overall.startsWith("meets")) return "not-judged";
  return verdict.overall;
}

export function heardSentence(row) {
  if (!row.heard) return "";
  if (row.heard.through === here.me?.device?.id && !row.stale) return say("lane.tested-here", { at: when(row.heard.at) });
  const values = { at: when(row.heard.at), device: row.heard.device || say("heard.shell") };
  if (row.stale && !row.due?.late) return say("heard.old", values);
  return say(row.stale ? "heard.stale" : "heard.fresh", values);
}
