/** At the foot of every page: how this device looks, and which language it speaks. */

import { chooseLanguage, chooseLook, LANGUAGES, languageOf, lookNow, LOOKS } from "../ground/choices.js";
import { h } from "../ground/dom.js";
import { here, redraw } from "../ground/store.js";
import { language, loadWords, say } from "../ground/words.js";
import { gloveKey } from "./glove.js";
import { choice } from "./key.js";

/** The language that is being fetched, or spoken. */
let asked = "";

/** The language of whoever is here; the words come, then the page is drawn again. */
export async function speak() {
  const wanted = languageOf(here.me?.person ?? "");
  if (wanted === (asked || language())) return;
  asked = wanted;
  await loadWords(wanted).catch(() => null);
  redraw();
}

export function looksFold() {
  const look = lookNow();
  const title = { look: say(`looks.look.${look}`), language: LANGUAGES[language()] };
  return h(
    "details",
    { class: "fold looks", "data-key": "looks" },
    h("summary", {}, say("looks.title", title)),
    choice(
      say("looks.look"),
      LOOKS.map((one) => [one, say(`looks.look.${one}`)]),
      look,
      (one) => {
        chooseLook(one);
        redraw();
      },
      { name: "look" },
    ),
    h("div", { class: "keys" }, gloveKey()),
    languages(),
  );
}

/** Each by its own name, so that it is found by whoever cannot read the one shown. */
function languages() {
  const keys = choice(
    say("looks.language"),
    Object.entries(LANGUAGES),
    language(),
    (one) => {
      chooseLanguage(one, here.me?.person ?? "");
      speak();
    },
    { name: "language" },
  );
  for (const key of keys.querySelectorAll("button")) key.lang = key.dataset.key;
  return keys;
}
