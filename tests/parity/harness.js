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

/** An argument with one thing in it taken away, made null or emptied; the rest is shared. */
function changed(held, [step, ...inner], what) {
  const copy = held instanceof Map ? new Map(held) : [...held];
  if (inner.length === 0 && what === "absent") {
    copy.delete(step);
    return copy;
  }
  const old = held instanceof Map ? held.get(step) : held[step];
  const put = { null: null, empty: [] };
  const value = inner.length > 0 ? changed(old, inner, what) : put[what];
  if (copy instanceof Map) copy.set(step, value);
  else copy[step] = value;
  return copy;
}

/**
 * Call a function with each row of arguments, or with each change of it.
 * @param {string} path the module
 * @param {string} name the function
 * @param {string} batch JSON: {held: arguments as JSON texts, rows: [[places in held, changes]]}
 * @returns {Promise<string>} JSON: {outcomes, touched: places in held that a call has changed}
 */
export async function run(path, name, batch) {
  const called = (await import(path))[name];
  const { held, rows } = JSON.parse(batch);
  const values = held.map((text) => toKernel(JSON.parse(text)));
  const before = values.map((value) => JSON.stringify(shown(value)));
  const outcomes = [];
  for (const [places, changes] of rows) {
    const taken = places.map((place) => values[place]);
    if (changes === null) outcomes.push(outcome(called, taken));
    for (const [place, steps, what] of changes ?? []) {
      const row = [...taken];
      row[place] = changed(taken[place], steps, what);
      outcomes.push(outcome(called, row));
    }
  }
  const touched = [...values.keys()].filter(
    (place) => JSON.stringify(shown(values[place])) !== before[place],
  );
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
