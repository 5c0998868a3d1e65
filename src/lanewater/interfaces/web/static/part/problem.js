/** What went wrong, in words, without blame. */

import { h } from "../ground/dom.js";
import { say, sayOr } from "../ground/words.js";

/** Of these our own words say all; the server's beside them would say it twice. */
const SAYS_ALL = ["pin", "pin-wrong"];

/**
 * @param {import("../ground/api.js").ApiError | null} error
 * @param {string} form whose labels name the field, such as "pool"; "" for none
 */
export function problem(error, form = "") {
  if (!error) return null;
  const words = sayOr(`error.${error.id}`, "");
  const text = [words, !(words && SAYS_ALL.includes(error.id)) && fieldAnd(error, form)].filter(Boolean).join(" ");
  return h("p", { class: "message message-alert", role: "alert" }, text || say("error.broken"));
}

function fieldAnd(error, form) {
  if (!error.message) return "";
  const label = labelOf(error.field ?? "", form);
  const bare = error.message.startsWith(error.field) ? error.message.slice(error.field.length).replace(/^[\s:]+/, "") : error.message;
  return label ? `${label}: ${bare}` : error.message[0].toUpperCase() + error.message.slice(1);
}

/** A field as its form names it: "targets.0.low" is "Your own targets, Low". */
function labelOf(field, form) {
  const steps = field.split(/[.[\]]+/).filter((step) => step && !/^\d+$/.test(step));
  const named = steps.map((_, index) => sayOr(`form.${form}.${steps.slice(0, index + 1).join(".")}`, ""));
  return named.filter(Boolean).join(", ");
}
