/**
 * A round that is not saved yet. It is kept on this device with every key, so that it is there
 * after a reload; what was read stays as it was typed, and a change after the result was shown is
 * kept beside the new number.
 */

import { uuid7 } from "../ground/id.js";
import { redraw } from "../ground/store.js";
import { draftTrouble, dropDraft as dropKept, keepDraft, readDraft } from "../offline/drafts.js";

/**
 * @typedef {object} Field one reading in the making
 * @property {string} parameter
 * @property {string} point where in the pool; "" where the site names no points
 * @property {string} keys what was typed
 * @property {string} value what is kept; "" while it is not finished
 * @property {number} dilution 1 part made up to so many
 * @property {string} unit unit it was typed in; "" for the parameter's own
 * @property {number} at when it was finished; of one that is not, when its last key was pressed. [UTC ms]
 * @property {{low: string, high: string}} [between] the two colours it lies between
 * @property {Field} [was] the finished number that this one is about to replace
 */

/**
 * @typedef {object} Draft
 * @property {string} id the round's own id, made here so that a resend is harmless
 * @property {string} pool
 * @property {string} point where it was taken, "" where no points are named
 * @property {string | null} kit the kit in use, "" where not said, null before it is asked
 * @property {string[]} points points tested besides the first
 * @property {Record<string, Field>} fields by parameter@point
 * @property {Field[]} tries first tries, kept when a test was done again
 * @property {string[]} more parameters added to the usual ones
 * @property {Record<string, number>} tablet when the second tablet went in, by point. [UTC ms]
 * @property {Record<string, number>} [stand] how long it stands by the kit's card, by point. [s]
 * @property {Record<string, string>} early that total was read before its stand was over, by point
 * @property {boolean} [retest] something was added: two points are asked for
 * @property {string} [repeats] the round that this one tests again
 * @property {boolean} shown its result has been on the screen
 * @property {any[]} changed numbers changed after that
 * @property {boolean} swapped free and total were exchanged by the tester
 * @property {string[]} notes
 * @property {"direct"|"late"|"paper"} source
 * @property {number} taken when a late round was taken. [UTC ms] 0: as its readings say
 */

const TESTED = ["free_chlorine", "ph", "total_chlorine", "total_bromine"];
/** @type {Map<string, Draft>} */
const inHand = new Map();

/** @param {string} pool @returns {Draft} */
export function draftOf(pool) {
  if (!inHand.has(pool)) inHand.set(pool, readDraft(pool) ?? newDraft(pool));
  return inHand.get(pool);
}

function newDraft(pool) {
  return {
    id: uuid7(),
    pool,
    point: "",
    kit: null,
    points: [],
    fields: {},
    tries: [],
    more: [],
    tablet: {},
    early: {},
    shown: false,
    changed: [],
    swapped: false,
    notes: [],
    source: "direct",
    taken: 0,
  };
}

/** Put a draft on disk; the page says where that does not work, and the round goes on. @param {Draft} draft */
export function keep(draft) {
  keepDraft(draft.pool, draft).catch(redraw);
}

/** Forget a draft once its round is saved, or where it is begun again. @param {string} pool */
export function dropDraft(pool) {
  inHand.delete(pool);
  dropKept(pool).catch(redraw);
}

/** Take a draft up again as another tab of this browser left it. @param {string} pool */
export function takeUpAgain(pool) {
  inHand.delete(pool);
  redraw();
}

/** Tell whether this browser keeps drafts at all. */
export function keepsDrafts() {
  return draftTrouble() === "";
}

/** @param {Draft} draft @param {string} parameter @param {string} [point] @returns {Field | undefined} */
export function fieldOf(draft, parameter, point = draft.point) {
  return draft.fields[`${parameter}@${point}`];
}

/** Put a field, marking what is changed after the result. @param {Draft} draft @param {Field} field */
export function put(draft, field) {
  const key = `${field.parameter}@${field.point}`;
  const before = draft.fields[key];
  const was = before?.value ? before : before?.was;
  const changed = was && (field.value !== was.value || field.dilution !== was.dilution);
  if (draft.shown && field.value !== "" && changed) {
    draft.changed.push({ parameter: was.parameter, point: was.point, value: was.value, at: was.at });
  }
  draft.fields[key] = field.value === "" && was ? { ...field, was } : { ...field, was: undefined };
  keep(draft);
}

/** Leave a field: one that was emptied takes its earlier number back. */
export function restore(draft, parameter, point) {
  const key = `${parameter}@${point}`;
  const field = draft.fields[key];
  if (field === undefined || field.value !== "" || field.keys !== "") return;
  if (field.was) draft.fields[key] = field.was;
  else delete draft.fields[key];
  keep(draft);
}

/** Ask for two points, shallow and deep where none are named. @param {Draft} draft @param {string[]} points */
export function askTwoPoints(draft, points) {
  if (draft.retest) return;
  if (!points.includes(draft.point)) renamePoint(draft, points[0]);
  draft.points = points.filter((one) => one !== draft.point).slice(0, 1);
  draft.retest = true;
  keep(draft);
}

/** Answer a question that is told in words, with its own time. */
export function answer(draft, parameter, value, at) {
  put(draft, { parameter, point: "", keys: value, value, dilution: 1, unit: "", at });
}

/** Do tests again: the numbers so far stay as first tries. @param {Draft} draft @param {string[]} parameters */
export function again(draft, parameters, point = draft.point) {
  for (const parameter of parameters) {
    const key = `${parameter}@${point}`;
    if (draft.fields[key]?.value) draft.tries.push(draft.fields[key]);
    delete draft.fields[key];
  }
  delete draft.tablet[point];
  delete draft.stand?.[point];
  keep(draft);
}

/** Exchange free and total where they were typed in the wrong boxes; both stay on record. */
export function swap(draft, point = draft.point) {
  const free = fieldOf(draft, "free_chlorine", point);
  const total = fieldOf(draft, "total_chlorine", point);
  draft.shown = true;
  draft.swapped = true;
  put(draft, { ...total, parameter: "free_chlorine" });
  put(draft, { ...free, parameter: "total_chlorine" });
}

/** Name the point of what was read at no named one; what is looked at has none. */
function renamePoint(draft, point) {
  for (const parameter of [...draft.more, ...TESTED]) {
    const field = draft.fields[`${parameter}@${draft.point}`];
    if (field === undefined) continue;
    delete draft.fields[`${parameter}@${draft.point}`];
    draft.fields[`${parameter}@${point}`] = { ...field, point };
  }
  draft.point = point;
}

/** Say that the sample was taken at another point; what was read moves with it. */
export function moveTo(draft, point) {
  const moved = {};
  for (const field of Object.values(draft.fields)) {
    const at = field.point !== "" && field.point === draft.point ? point : field.point;
    moved[`${field.parameter}@${at}`] = { ...field, point: at };
  }
  draft.fields = moved;
  draft.point = point;
  keep(draft);
}

/** Every reading that is finished and stands; first tries are kept apart. @param {Draft} draft */
export function finished(draft) {
  return Object.values(draft.fields).filter((field) => field.value !== "");
}

/** What stood before, where another number took its place: first tries and later changes, in time. */
export function replaced(draft) {
  const standing = ({ parameter, point }) => draft.fields[`${parameter}@${point}`]?.value;
  return [...draft.tries, ...draft.changed].filter(standing).sort((one, other) => one.at - other.at);
}

/** The round as it stood before any number of it was replaced. @param {Draft} draft @returns {Draft} */
export function asFirstTyped(draft) {
  const first = structuredClone(draft);
  for (const one of replaced(draft).reverse()) {
    const key = `${one.parameter}@${one.point}`;
    first.fields[key] = { ...first.fields[key], value: one.value };
  }
  return first;
}

/** When the latest of its readings was finished, 0 where there is none. [UTC ms] */
export function lastTouched(draft) {
  return Math.max(0, ...finished(draft).map((field) => field.at));
}
