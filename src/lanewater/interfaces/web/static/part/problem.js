/** What went wrong, in words, without blame. */

import { h } from "../ground/dom.js";
import { say, sayOr } from "../ground/words.js";

/** @param {import("../ground/api.js").ApiError | null} error */
export function problem(error) {
  if (!error) return null;
  const words = sayOr(`error.${error.id}`, "");
  const text = [words, fieldAnd(error)].filter(Boolean).join(" ");
  return h("p", { class: "message message-alert", role: "alert" }, text || say("error.broken"));
}

function fieldAnd(error) {
  if (!error.message) return "";
  const message = error.message[0].toUpperCase() + error.message.slice(1);
  if (!error.field || error.message.startsWith(error.field)) return message;
  return `${sayOr(`field.${error.field}`, error.field)}: ${error.message}`;
}
