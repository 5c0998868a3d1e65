/** Instants as people say them, on the site's clock. Instants are RFC 3339 text or milliseconds. */

import { localeNow } from "./locale.js";

/** The clock of the record and its dates: 24 hours, ISO days, in every language. */
const PLAIN = "en-GB";

let zone = "UTC";

/** @param {string} name IANA time zone of the site */
export function setZone(name) {
  zone = name;
}

function parts(instant, options, locale = localeNow()) {
  return new Intl.DateTimeFormat(locale, { timeZone: zone, ...options }).format(new Date(instant));
}

/** "05:51" */
export function clock(instant) {
  return parts(instant, { hour: "2-digit", minute: "2-digit", hourCycle: "h23" }, PLAIN);
}

/** "25 Nov 2026": the month as a word, so that it can be read one way only. */
export function day(instant) {
  return parts(instant, { day: "numeric", month: "short", year: "numeric" });
}

/** "05:51" today, else "24 Nov 05:51". */
export function when(instant, now = Date.now()) {
  if (day(instant) === day(now)) return clock(instant);
  return `${parts(instant, { day: "numeric", month: "short" })} ${clock(instant)}`;
}

/** "2026-11-25" on the site's calendar, for a date field. */
export function isoDay(instant) {
  const digits = { day: "2-digit", month: "2-digit", year: "numeric" };
  const [date, month, year] = parts(instant, digits, PLAIN).split("/");
  return `${year}-${month}-${date}`;
}

/** RFC 3339 in UTC. */
export function stamp(instant) {
  return new Date(instant).toISOString();
}

/** The instant at which the site's clock shows a date and a time of day. */
export function fromLocal(date, time) {
  const guess = Date.parse(`${date}T${time}:00Z`);
  const shown = (instant) => Date.parse(`${isoDay(instant)}T${clock(instant)}:00Z`);
  const first = guess - (shown(guess) - guess);
  return first - (shown(first) - guess);
}

/** "1:20" of a number of seconds. */
export function countdown(seconds) {
  const left = Math.max(0, Math.ceil(seconds));
  return `${Math.floor(left / 60)}:${String(left % 60).padStart(2, "0")}`;
}
