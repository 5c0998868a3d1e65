/** Every text shown comes from one catalogue, words/en.json: `key: "text with {name}"`. */

/** @type {Record<string, string>} */
let catalogue = {};

/** @param {string} language */
export async function loadWords(language = "en") {
  const answer = await fetch(`/static/words/${language}.json`);
  catalogue = await answer.json();
}

/**
 * Give a text.
 * @param {string} key
 * @param {Record<string, string | number>} [values] what stands in for {name}
 */
export function say(key, values = {}) {
  const text = catalogue[key];
  if (text === undefined) throw new Error(`no words for ${key}`);
  return text.replace(/\{(\w+)\}/g, (_, name) => String(values[name] ?? ""));
}

/** Give a text where the catalogue has it, else another. @param {string} key @param {string} other */
export function sayOr(key, other) {
  return key in catalogue ? catalogue[key] : other;
}

/** Join parts as a list in words: "a, b and c". @param {string[]} parts */
export function listed(parts) {
  if (parts.length < 2) return parts.join("");
  return say("list.and", { head: parts.slice(0, -1).join(", "), last: parts[parts.length - 1] });
}
