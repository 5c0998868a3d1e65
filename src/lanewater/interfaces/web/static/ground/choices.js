/** What somebody chose for this device, kept on it: the language (of a person too) and the look. */

const PLACE = "lanewater.choices";
const LOOKS = ["auto", "day", "sun", "dark"];

/** The languages that there are words for, each by its own name. */
export const LANGUAGES = { en: "English", es: "Español", fr: "Français", de: "Deutsch" };

let held = null;

function choices() {
  held ??= read();
  return held;
}

function read() {
  try {
    const kept = JSON.parse(localStorage.getItem(PLACE) ?? "{}");
    return kept && typeof kept === "object" ? kept : {};
  } catch {
    return {};
  }
}

/** A browser that keeps nothing has them for as long as the page is open. */
function keep(change) {
  held = { ...choices(), ...change };
  try {
    localStorage.setItem(PLACE, JSON.stringify(held));
  } catch {
    // Nothing of the record hangs on it.
  }
}

/** The language of a person at this device; before anybody chose, the device's own. @param {string} person */
export function languageOf(person) {
  const { language, people = {} } = choices();
  const wanted = people[person] ?? language;
  if (wanted in LANGUAGES) return wanted;
  const own = navigator.languages.map((tag) => tag.slice(0, 2)).find((tag) => tag in LANGUAGES);
  return own ?? "en";
}

/** Choose a language; the device keeps it for whoever signs in here, or for the device. */
export function chooseLanguage(language, person) {
  if (!person) keep({ language });
  else keep({ people: { ...choices().people, [person]: language } });
}

/** "auto", "day", "sun" or "dark". */
export function lookNow() {
  return LOOKS.includes(choices().look) ? choices().look : "auto";
}

/** @param {string} look */
export function chooseLook(look) {
  keep({ look });
  showLook();
}

/** Put the look on the page; the style sheets do the rest. */
export function showLook() {
  const look = lookNow();
  if (look === "auto") delete document.documentElement.dataset.look;
  else document.documentElement.dataset.look = look;
  const ink = getComputedStyle(document.documentElement).getPropertyValue("--paper").trim();
  document.querySelector("meta[name='theme-color']")?.setAttribute("content", ink);
}

export { LOOKS };
