/** Tell somebody: the name, the number, what to say, and one key once it is said. */

import { h } from "../ground/dom.js";
import { here, redraw } from "../ground/store.js";
import { clock } from "../ground/time.js";
import { say } from "../ground/words.js";
import { tell } from "../offline/local.js";
import { deciders } from "./call.js";
import { key, phone } from "./key.js";
import { problem } from "./problem.js";

/** @type {Map<string, {at: number, error: any}>} by what was told and to whom */
const told = new Map();

/** @param {string} pool @param {string} about entry of the round or stop @param {string} words what to say */
export function tellList(pool, about, words) {
  const known = withoutTwice(here.now?.tell ?? deciders());
  return h(
    "div",
    { class: "tell" },
    h("p", { class: "say" }, `“${words}”`),
    known.length === 0 && h("p", {}, say("call.none")),
    h(
      "ul",
      { class: "call-list" },
      known.map((one) => {
        const id = one.id ?? one.contact ?? one.person;
        const done = told.get(`${about} ${id}`);
        return h(
          "li",
          { "data-key": id },
          h("span", {}, one.name),
          one.phone && phone(one.phone),
          done && !done.error
            ? h("strong", { role: "status" }, say("tell.told", { at: clock(done.at) }))
            : key(say("tell.key"), () => mark(pool, about, id), {
                "data-key": "told",
                "aria-label": say("tell.done", one),
              }),
          done && problem(done.error),
        );
      }),
    ),
  );
}

/** Somebody who stands on the phone list too is shown once, with the number. */
function withoutTwice(known) {
  return known.filter((one) => one.phone || !known.some((other) => other.phone && other.name.includes(one.name)));
}

async function mark(pool, about, whom) {
  const at = Date.now();
  try {
    await tell(pool, about, whom);
    told.set(`${about} ${whom}`, { at, error: null });
  } catch (error) {
    told.set(`${about} ${whom}`, { at, error });
  }
  redraw();
}
