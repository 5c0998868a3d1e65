/** Choose the rules: what each pack holds and does not hold, before it is chosen. */

import { h } from "../ground/dom.js";
import { here } from "../ground/store.js";
import { say } from "../ground/words.js";
import { key } from "../part/key.js";

const CORE = ["disinfectant_minimum", "disinfectant_maximum", "ph", "clarity"];

/** @param {string} chosen @param {any[]} packs @param {(id: string) => void} onChoose */
export function rulesView(chosen, packs, onChoose) {
  const offered = packs.filter((one) => one.status !== "historic" && (one.law || here.me?.demo));
  const own = offered.filter((one) => one.id === chosen);
  const others = offered.filter((one) => one.id !== chosen);
  const list = [others.map((one) => pack(one, chosen, onChoose)), notListed(chosen, onChoose)];
  return h(
    "div",
    { class: "rules-list", role: "group", "aria-label": say("site.rules") },
    own.map((one) => pack(one, chosen, onChoose)),
    own.length === 0
      ? list
      : h("details", { "data-key": "others" }, h("summary", { class: "key" }, say("rules.others")), list),
  );
}

function notListed(chosen, onChoose) {
  return h(
    "div",
    { class: "rules-one", "data-key": "none" },
    h("p", {}, h("b", {}, say("rules.not-listed"))),
    h("p", { class: "small" }, say("rules.not-listed.what")),
    chooseKey("none", chosen, onChoose, say("rules.not-listed")),
  );
}

function pack(one, chosen, onChoose) {
  const unread = CORE.filter((item) => one.coverage[item] === "not-read");
  return h(
    "div",
    { class: "rules-one", "data-key": one.id },
    h("p", {}, h("b", {}, one.title)),
    h(
      "p",
      { class: "small" },
      unread.length
        ? say("rules.unread", { items: unread.map((item) => say(`coverage.${item}`)).join(", ") })
        : say("rules.full"),
      " ",
      one.status !== "reviewed" && say(`rules.status.${one.status}`),
    ),
    chooseKey(one.id, chosen, onChoose, one.title),
  );
}

function chooseKey(id, chosen, onChoose, title) {
  const on = chosen === id;
  return key(say(on ? "rules.chosen" : "rules.choose"), () => onChoose(id), {
    "aria-pressed": on ? "true" : "false",
    "aria-label": `${say(on ? "rules.chosen" : "rules.choose")}: ${title}`,
  });
}
