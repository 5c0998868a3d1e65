/** How a language writes numbers and dates. What is stored and sent always has a point. */

/** The date's month is a word, so that it can be read one way only: never the order of the United States. */
const OWN = { en: "en-GB" };
const NUMBER = /^([<>≤≥±+−-]?\s?\d+)\.(\d+)$/;

let locale = "en-GB";
let mark = ".";

/** @param {string} language the device's own region of it counts, where it has one */
export function setLocale(language) {
  const region = navigator.languages.find((tag) => tag === language || tag.startsWith(`${language}-`));
  locale = OWN[language] ?? region ?? language;
  mark = new Intl.NumberFormat(locale).formatToParts(1.5).find(({ type }) => type === "decimal").value;
}

export function localeNow() {
  return locale;
}

/** "." or ",", for the keypad's key. */
export function decimalMark() {
  return mark;
}

/** A number as the reader writes it; any other text as it is. @param {string | number} value */
export function numberShown(value) {
  return String(value).replace(NUMBER, (_, whole, decimals) => whole + mark + decimals);
}

/**
 * What was typed, with a point: "7,43" and "7.43" are the same. Nothing is taken for a thousands mark.
 * @param {string} typed
 */
export function numberTyped(typed) {
  return typed.trim().replace(/^([<>−-]?\s?\d+),(\d+)$/, "$1.$2");
}
