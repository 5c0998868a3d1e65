/**
 * Every text shown comes from one catalogue: words/en.json is the source, words/LANG.json lies over it.
 * `"key": "text with {name}"`; `"key~one"` is the form for a number (Intl.PluralRules) of the same text.
 */

import { numberShown, setLocale } from "./locale.js";

const SOURCE = "en";
/** What is counted in a text; the first of them in the English text decides its form. */
const COUNTED = ["count", "days", "hours", "minutes", "times", "rounds", "mornings", "lots", "lines", "size", "held"];
/** What is no number though it may look like one. */
const AS_IT_IS = ["clause", "edition", "version", "lot", "key", "initials", "pin", "phone", "title"];

/** @typedef {Record<string, string>} Catalogue */
const words = { source: /** @type {Catalogue} */ ({}), own: /** @type {Catalogue} */ ({}), language: SOURCE };
const forms = new Map();

/**
 * Fetch the words; what a language has no words for is said in English.
 * @param {string} language
 */
export async function loadWords(language = SOURCE) {
  if (Object.keys(words.source).length === 0) words.source = await fetched(SOURCE);
  const own = language === SOURCE ? {} : await fetched(language).catch(() => null);
  words.own = own ?? {};
  words.language = own === null ? SOURCE : language;
  setLocale(words.language);
  document.documentElement.lang = words.language;
}

async function fetched(language) {
  const answer = await fetch(`/static/words/${language}.json`);
  if (!answer.ok) throw new Error(`no words in ${language}`);
  return answer.json();
}

/** All words of one language, whichever is spoken now. @param {string} wanted @returns {Promise<Catalogue>} */
export async function catalogueOf(wanted) {
  return wanted === SOURCE ? words.source : fetched(wanted);
}

/** The language that is spoken now. */
export function language() {
  return words.language;
}

/**
 * Give a text.
 * @param {string} key
 * @param {Record<string, string | number>} [values] what stands in for {name}
 */
export function say(key, values = {}) {
  const text = textOf(key, values);
  if (text === undefined) throw new Error(`no words for ${key}`);
  return text.replace(/\{(\w+)\}/g, (_, name) => shownAs(name, values[name] ?? ""));
}

/** Give a text where the catalogue has it, else another. @param {string} key @param {string} other */
export function sayOr(key, other) {
  return textOf(key, {}) ?? other;
}

function textOf(key, values) {
  return formOf(words.own, words.language, key, values) ?? formOf(words.source, SOURCE, key, values);
}

function formOf(catalogue, language, key, values) {
  const counted = namesIn(words.source[key] ?? "").find((name) => COUNTED.includes(name));
  if (counted === undefined || !(key in catalogue)) return catalogue[key];
  if (!forms.has(language)) forms.set(language, new Intl.PluralRules(language));
  return catalogue[`${key}~${forms.get(language).select(Number(values[counted]))}`] ?? catalogue[key];
}

function namesIn(text) {
  return [...text.matchAll(/\{(\w+)\}/g)].map((found) => found[1]);
}

function shownAs(name, value) {
  return AS_IT_IS.includes(name) ? String(value) : numberShown(value);
}

/**
 * Say what the engine said in English. Its sentences stand in the catalogue under `told.`, and are found
 * again by their English text; one that is not there (the text of a rule) stands as it came.
 * @param {string} text
 */
export function told(text) {
  if (words.language === SOURCE || !text) return text ?? "";
  engine ??= sentencesOf(words.source);
  const whole = engine.whole.get(text);
  if (whole) return say(whole);
  for (const [key, pattern] of engine.patterns) {
    const found = pattern.exec(text);
    if (found) return say(key, Object.fromEntries(Object.entries(found.groups).map(inOwnWords)));
  }
  const first = engine.openings.find((one) => text.startsWith(`${words.source[one]} `));
  return first ? `${say(first)} ${told(text.slice(words.source[first].length + 1))}` : text;
}

let engine = null;

function sentencesOf(catalogue) {
  const keys = Object.keys(catalogue).filter((key) => key.startsWith("told."));
  const plain = keys.filter((key) => namesIn(catalogue[key]).length === 0);
  const patterns = keys.filter((key) => key !== "told.at" && !plain.includes(key));
  const named = Object.keys(catalogue).filter((key) => /^(short|point|substance|stop|option\.kind)\./.test(key));
  const ids = named.map((key) => [key.replace(/^(option\.)?[^.]*\./, ""), key]);
  return {
    whole: new Map([...ids, ...[...named, ...plain].reverse().map((key) => [catalogue[key], key])]),
    patterns: patterns.map((key) => [key, patternOf(catalogue[key])]),
    openings: plain.filter((key) => catalogue[key].endsWith(".")),
  };
}

/** A place may hold spaces, what was read holds none. */
const SHAPES = { at: "(?: at .+?)?", value: "\\S+" };

function patternOf(english) {
  const steps = english.split(/\{(\w+)\}/);
  const own = (name) => `(?<${name}>${SHAPES[name] ?? ".+?"})`;
  const pattern = steps.map((step, index) => (index % 2 ? own(step) : step.replace(/[.*+?^${}()|[\]\\/]/g, "\\$&")));
  return new RegExp(`^${pattern.join("")}$`);
}

/** What stands inside such a sentence: the name of a number, a place, a reason. */
function inOwnWords([name, value]) {
  if (name !== "at") return [name, told(value)];
  return [name, value && ` ${say("told.at", { point: told(value.replace(/^ at /, "")) })}`];
}

/** Join parts as a list in words: "a, b and c". @param {string[]} parts */
export function listed(parts) {
  if (parts.length < 2) return parts.join("");
  return say("list.and", { head: parts.slice(0, -1).join(", "), last: parts[parts.length - 1] });
}
