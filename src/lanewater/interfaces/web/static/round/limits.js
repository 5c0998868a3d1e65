/** The limit beside a number, in words: "at least 0.8, at most 2.0". */

import { say } from "../ground/words.js";

const CLOSING = ["close", "evacuate"];
const ADVISING = ["note", "advise"];

/** @param {any[]} rules those that apply to the pool @param {string} parameter */
export function limitWords(rules, parameter) {
  const own = rules.filter((rule) => rule.parameter === parameter && rule.computable);
  const parts = unique(own.filter((rule) => kindOf(rule) === "limit").map(comparison));
  const closing = unique(own.filter((rule) => kindOf(rule) === "closing").map(comparison));
  const advised = unique(own.filter((rule) => kindOf(rule) === "advised").map(comparison));
  return [
    parts.join(", "),
    closing.length && say("limit.closing", { limit: closing.join(", ") }),
    advised.length && say("limit.advised", { limit: advised.join(", ") }),
  ]
    .filter(Boolean)
    .join("; ");
}

function kindOf(rule) {
  if (CLOSING.includes(rule.level)) return "closing";
  return ADVISING.includes(rule.level) ? "advised" : "limit";
}

/** @param {{comparison: string, limit: string}} rule */
export function comparison(rule) {
  return say(`compare.${rule.comparison}`, { limit: rule.limit });
}

/**
 * The limit of a row, with what it came from and how often it was broken: "at least 4.0, from
 * 3.0 + 1.0 (pH above 7.6) = 4.0". @param {any} row of an answer
 */
export function rowLimit(row) {
  const limit = comparison(row);
  const whole = row.worked ? say("row.worked", { rule: limit, worked: row.worked }) : limit;
  return row.counted ? countedWords(whole, row.counted) : whole;
}

function countedWords(rule, { fails, of, wanted, unit, open }) {
  const numbers = { fails: String(fails), of: String(of), wanted: String(wanted), open: String(open) };
  const words = say(`row.counted.${unit}`, { rule, ...numbers });
  return open > 0 ? `${words} ${say("row.counted.open", numbers)}` : words;
}

function unique(parts) {
  return [...new Set(parts)];
}
