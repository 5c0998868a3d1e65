/** Calls translated functions in batches and gives what came of each: a value, or an error's name. */

import { KernelError, toKernel } from "/static/strict.js";

/** A value as JSON that keeps the order of a dict and numbers that are none. */
function shown(value) {
  if (value instanceof Map) return { dict: [...value].map((pair) => pair.map(shown)) };
  if (Array.isArray(value)) return value.map(shown);
  if (value === undefined) return { odd: "undefined" };
  if (typeof value === "number" && !Number.isFinite(value)) return { odd: String(value) };
  return value;
}

/** What came of one call. */
function outcome(called, taken) {
  try {
    return { value: shown(called(...taken)) };
  } catch (error) {
    const name = error instanceof KernelError ? error.name : `JavaScript's ${error.name}`;
    return { error: name, said: error.message };
  }
}

/** An argument with one thing in it taken away or put in another's place. */
function changed(text, [, steps, what]) {
  const whole = JSON.parse(text);
  const last = steps.at(-1);
  const held = steps.slice(0, -1).reduce((inner, step) => inner[step], whole);
  if (what === "absent") delete held[last];
  else held[last] = what === "null" ? null : [];
  return whole;
}

/**
 * Call a function with each row of arguments, and with each change of it.
 * @param {string} path the module
 * @param {string} name the function
 * @param {string} batch JSON: [[the arguments as JSON texts, the changes], ...]
 * @returns {Promise<string>} JSON: {outcomes, touched}
 */
export async function run(path, name, batch) {
  const called = (await import(path))[name];
  const outcomes = [];
  const touched = [];
  for (const [index, [texts, changes]] of JSON.parse(batch).entries()) {
    const taken = texts.map((text) => toKernel(JSON.parse(text)));
    const before = JSON.stringify(taken.map(shown));
    if (changes === null) outcomes.push(outcome(called, taken));
    for (const change of changes ?? []) {
      const row = [...taken];
      row[change[0]] = toKernel(changed(texts[change[0]], change));
      outcomes.push(outcome(called, row));
    }
    if (JSON.stringify(taken.map(shown)) !== before) touched.push(index);
  }
  return JSON.stringify({ outcomes, touched });
}

/** Time a function over rows of arguments. @returns {Promise<number>} microseconds a call */
export async function time(path, name, batch, turns) {
  const called = (await import(path))[name];
  const rows = JSON.parse(batch).map((row) => row.map(toKernel));
  for (const row of rows) called(...row);
  const start = performance.now();
  for (let turn = 0; turn < turns; turn += 1) for (const row of rows) called(...row);
  return ((performance.now() - start) * 1000) / (turns * rows.length);
}
