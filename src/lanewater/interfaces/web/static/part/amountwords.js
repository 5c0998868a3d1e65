/** The sentences of an amount, from the numbers that the kernel gave: what, where, what to expect, when to test. */

import { numberShown } from "../ground/locale.js";
import { say, sayOr, told } from "../ground/words.js";

const THOUSAND = 1000;

/** "First: 1.5 L of Hypo 12 %, in the blue jug. This step takes between 1.2 L and 1.8 L." */
export function amountSentence(advice) {
  const { unit } = advice;
  const first = say("amount.first", {
    amount: measuredOut(advice.amount, unit),
    name: advice.name,
    jug: advice.jug || say("amount.own-jug"),
  });
  const span = say("amount.span", { low: measuredOut(advice.low, unit), high: measuredOut(advice.high, unit) });
  const rest = advice.half ? say("amount.half") : advice.again ? say("amount.again") : "";
  return [first, span, rest].filter(Boolean).join(" ");
}

/** An amount as it is measured out: mL and g, L and kg from 1000 on. @param {string | number} amount */
export function measuredOut(amount, unit) {
  const number = Number(amount);
  if (number < THOUSAND) return `${numberShown(String(number))} ${say(`unit.${unit}`)}`;
  return `${numberShown(String(number / THOUSAND))} ${say(`unit.${unit === "mL" ? "L" : "kg"}`)}`;
}

/** Why: which reading is off the site's target. */
export function whySentence(advice) {
  return advice.purpose ? say(`step.${advice.purpose}`) : "";
}

/** Where it goes. */
export function placeSentence(advice) {
  if (advice.place === "circuit-plant") return say("amount.place.circuit-plant");
  const mixed = advice.after_mixing ? say("amount.after-mixing", { free: advice.after_mixing }) : "";
  return [say("amount.place.by-hand-pool"), mixed].filter(Boolean).join(" ");
}

/** What to expect, and which limit the addition itself breaks for a while. */
export function afterSentence(advice) {
  const expected = Object.entries(advice.predicted ?? {}).map(([parameter, value]) => `${name(parameter)} ${numberShown(value)}`);
  const breaks = (advice.breaks ?? []).map((one) =>
    say("amount.breaks", { name: name(one.parameter), value: one.predicted, limit: one.limit }),
  );
  return [expected.length ? say("amount.expect", { readings: expected.join(", ") }) : "", ...breaks].filter(Boolean).join(" ");
}

/** The wait and the retest; a wait that ends says test, never open. */
export function retestSentence(advice) {
  const wait = say("amount.wait", { minutes: Math.ceil(advice.wait_s / 60) });
  return advice.retest.also ? `${wait} ${say("amount.wait-filter")}` : wait;
}

/** What was taken as so. @param {{id: string, text: string}} entry */
export function assumedSentence(entry) {
  const taken = entry.id === "taken-as-zero" && sayOr(`short.${entry.text}`, "");
  return taken ? say("amount.as-none", { name: taken }) : told(entry.text);
}

/** A caution, as the server or the kernel names it, with why. @returns {[string, string]} */
export function cautionSentences(one) {
  const id = typeof one === "string" ? one : one.id;
  return [say(`told.caution.${id}`), say(`told.caution.${id}.why`)];
}

/** What is said where there is no amount. */
export function stateSentence({ state, purpose }) {
  return state === "feed" ? sayOr(`amount.feed.${purpose}`, "") : sayOr(`amount.state.${state}`, "");
}

function name(parameter) {
  return sayOr(`short.${parameter}`, parameter);
}
