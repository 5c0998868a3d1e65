/** The four questions, asked at that moment and never answered beforehand; and which water it is. */

import { poolName, pools, redraw } from "../ground/store.js";
import { say } from "../ground/words.js";
import { choice, key } from "./key.js";

const QUESTIONS = {
  everybody_out: ["yes", "no", "unknown"],
  pump_running: ["yes", "no", "unknown"],
  anything_added: ["no", "yes", "unknown"],
  looked: ["yes", "no"],
};

/**
 * @typedef {object} Asked what was answered so far
 * @property {string} pool
 * @property {Record<string, string>} answers
 * @property {Record<string, any>} more
 */

/** A pool on a filter has two waters: its own and all of the filter's. @param {Asked} asked */
export function waterAsked(asked) {
  if (!onFilter(asked.pool)) return { volume_of: "pool" };
  return asked.more.volume_of ? {} : null;
}

function onFilter(pool) {
  return Boolean(pools().find((one) => one.pool === pool)?.circuit);
}

/** @param {Asked} asked */
function isAnswered(asked) {
  return Object.keys(QUESTIONS).every((name) => name in asked.answers) && waterAsked(asked) !== null;
}

/**
 * The last answer asks by itself; the key is for asking again where that did not go through.
 * @param {Asked} asked @param {string} words of the key @param {() => void} ask
 */
export function questions(asked, words, ask) {
  const answered = () => {
    if (isAnswered(asked)) ask();
    redraw();
  };
  return [
    Object.entries(QUESTIONS).map(([name, options]) =>
      choice(
        say(`question.${name}`),
        options.map((value) => [value, say(`answer.${name}.${value}`)]),
        asked.answers[name],
        (value) => {
          asked.answers[name] = value;
          answered();
        },
        { name },
      ),
    ),
    whichWater(asked, answered),
    key(words, ask, {
      kind: "main",
      disabled: !isAnswered(asked),
      "data-key": "ask",
    }),
  ];
}

function whichWater(asked, answered) {
  if (!onFilter(asked.pool)) return null;
  const options = ["circuit", "pool"].map((of) => [of, say(`advice.volume.${of}`, { pool: poolName(asked.pool) })]);
  const set = (of) => {
    asked.more.volume_of = of;
    answered();
  };
  return choice(say("advice.volume-of"), options, asked.more.volume_of, set, { name: "volume_of" });
}
