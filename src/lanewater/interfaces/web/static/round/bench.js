/** Typing a round: which field takes the keys, when it is finished, and which comes next. */

import { unitTyped } from "../ground/unit.js";
import { fieldOf, keep, put, restore } from "./draft.js";
import { colourAbove, midway } from "./engine.js";
import { benchFields } from "./fields.js";
import { formatOf, isFull, isNumber, isPast, kept, numberTyped, overRange, press, underRange } from "./typing.js";

/**
 * @typedef {object} Bench
 * @property {import("./draft.js").Draft} draft
 * @property {any} context
 * @property {{parameter: string, point: string} | null} active
 * @property {boolean} fresh the next digit begins the number anew
 * @property {boolean} between the number is the lower of the two colours the sample lies between
 * @property {(entry: {parameter: string, point: string}) => void} onFinish
 */

/** @returns {Bench} */
export function newBench(draft, context, onFinish = () => {}) {
  return { draft, context, active: null, fresh: true, between: false, onFinish };
}

/** @param {Bench} bench */
export function kitInUse(bench) {
  return (bench.context?.kits ?? []).find((one) => one.kit === bench.draft.kit);
}

/** @param {Bench} bench */
export function format(bench, parameter) {
  return formatOf(kitInUse(bench), parameter);
}

/** The fields of one point in the order of the bench. @param {Bench} bench */
export function rowsAt(bench, point) {
  const usual = benchFields(bench.context.pool.facts);
  const more = point === bench.draft.point ? bench.draft.more : [];
  return [...usual, ...more].map((parameter) => ({ parameter, point }));
}

/** Every numeric field of the round. @param {Bench} bench */
export function rows(bench) {
  return [bench.draft.point, ...bench.draft.points].flatMap((point) => rowsAt(bench, point));
}

/** Give the keys to a field. @param {Bench} bench */
export function activate(bench, entry) {
  leave(bench);
  bench.active = entry;
  bench.fresh = true;
  bench.between = false;
}

/** Finish the active field where what is typed is a number. @param {Bench} bench */
export function leave(bench) {
  if (bench.active === null) return;
  const { parameter, point } = bench.active;
  const field = fieldOf(bench.draft, parameter, point);
  const shape = format(bench, parameter);
  bench.active = null;
  if (field === undefined || field.value !== "") return;
  if (isNumber(field.keys, shape)) finish(bench, field, kept(field.keys, shape));
  else restore(bench.draft, parameter, point);
}

/** @param {number} [at] when it was read, where that was not just now */
function finish(bench, field, value, at = Date.now()) {
  const colours = bench.between ? coloursFrom(value, format(bench, field.parameter)) : null;
  bench.between = false;
  const read = colours ? { value: midway(colours), between: colours } : { value, between: undefined };
  put(bench.draft, { ...field, ...read, at });
  bench.onFinish({ parameter: field.parameter, point: field.point });
}

/** The colour that was read and the one above it. */
function coloursFrom(low, { step }) {
  return step ? { low, high: colourAbove(low, step) } : null;
}

/** What is typed next, or already, is the lower of two colours. @param {Bench} bench */
export function betweenColours(bench) {
  const { parameter, point } = bench.active;
  const field = fieldOf(bench.draft, parameter, point);
  bench.between = !bench.between;
  if (bench.between && field && !bench.fresh && isNumber(field.keys, format(bench, parameter))) next(bench);
}

/** Finish a number that was typed elsewhere and left without Done, at the time of its last key. */
export function finishLeft(bench, { parameter, point }) {
  const field = fieldOf(bench.draft, parameter, point);
  const shape = format(bench, parameter);
  if (!field || field.value !== "" || !isNumber(field.keys, shape)) return;
  finish(bench, field, kept(field.keys, shape), field.at || Date.now());
}

/** Move to the next field that is empty, or to none. @param {Bench} bench */
export function next(bench) {
  const order = rows(bench);
  const from = order.findIndex(
    (one) => one.parameter === bench.active?.parameter && one.point === bench.active?.point,
  );
  leave(bench);
  const later = [...order.slice(from + 1), ...order.slice(0, from + 1)];
  const empty = later.find((one) => !fieldOf(bench.draft, one.parameter, one.point)?.value);
  bench.active = empty ?? null;
  bench.fresh = true;
}

/** Take a key of the keypad for the active field. @param {Bench} bench @param {string} id */
export function take(bench, id) {
  if (bench.active === null) return;
  const { parameter, point } = bench.active;
  const shape = format(bench, parameter);
  const field = fieldOf(bench.draft, parameter, point) ?? {
    parameter,
    point,
    keys: "",
    value: "",
    dilution: 1,
    unit: unitTyped(parameter),
    at: 0,
  };
  if (id === "over") return ended(bench, field, overRange(typed(bench, field), shape));
  if (id === "under") return ended(bench, field, underRange(typed(bench, field), shape));
  const before = bench.fresh && id !== "delete" ? "" : field.keys;
  if (isPast(before, id, shape)) return;
  const keys = press(before.replace(/^[<>]/, ""), id);
  bench.fresh = false;
  put(bench.draft, { ...field, keys, value: "", between: undefined, at: Date.now() });
  if (isFull(keys, shape)) next(bench);
}

/** What is in the field, unless the next key would begin it anew. */
function typed(bench, field) {
  return bench.fresh || field.value !== "" ? "" : field.keys;
}

function ended(bench, field, value) {
  if (value === "") return;
  bench.between = false;
  finish(bench, { ...field, keys: value }, value);
  next(bench);
}

/** Say that the sample was diluted: 1 part made up to so many. @param {Bench} bench */
export function dilute(bench, entry, factor) {
  const field = fieldOf(bench.draft, entry.parameter, entry.point) ?? {
    ...entry,
    keys: "",
    value: "",
    unit: unitTyped(entry.parameter),
    at: 0,
  };
  put(bench.draft, { ...field, dilution: factor });
}

/** The second tablet goes in: free is finished, and total chlorine stands. @param {Bench} bench */
export function tabletIn(bench, point) {
  bench.draft.tablet[point] = Date.now();
  const stand = kitInUse(bench)?.total_stand_s;
  if (stand) bench.draft.stand = { ...bench.draft.stand, [point]: stand };
  keep(bench.draft);
  const { parameter } = bench.active ?? {};
  if (parameter !== "free_chlorine") return;
  const keys = fieldOf(bench.draft, parameter, point)?.keys ?? "";
  if (isNumber(keys, format(bench, parameter))) next(bench);
}

/** The kit in use is said: it places the point in what was typed before. @param {Bench} bench */
export function useKit(bench, kit) {
  bench.draft.kit = kit;
  for (const field of Object.values(bench.draft.fields)) {
    const shape = format(bench, field.parameter);
    if (shape.decimals === 0 || !isNumber(field.keys, shape)) continue;
    const text = kept(field.keys, shape);
    if (field.value !== "" || isFull(field.keys, shape)) put(bench.draft, { ...field, value: text, at: field.at || Date.now() });
  }
  keep(bench.draft);
  const { parameter, point } = bench.active ?? {};
  const typedSoFar = fieldOf(bench.draft, parameter, point);
  if (!typedSoFar?.keys || typedSoFar.value) next(bench);
}

/** Test at another point too; only what is read in the water is asked again. @param {Bench} bench */
export function addPoint(bench, point) {
  bench.draft.points.push(point);
  keep(bench.draft);
  activate(bench, rowsAt(bench, point)[0] ?? null);
}

/** Seconds that total chlorine still stands at a point; null where no tablet is in or no wait asked. */
export function standLeft(bench, point, now = Date.now()) {
  const since = bench.draft.tablet[point];
  const stand = kitInUse(bench)?.total_stand_s;
  return since && stand ? stand - (now - since) / 1000 : null;
}


/** What stands in a field while it is typed: the kit's format already places the point. */
export function inField(bench, { parameter, point }) {
  const field = fieldOf(bench.draft, parameter, point);
  if (field === undefined) return "–";
  return field.value || numberTyped(field.keys, format(bench, parameter)) || "–";
}
