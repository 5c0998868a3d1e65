/** What only some want to know of a water, folded away: CCPP, buffer, and where estimates differ. */

import { h } from "../ground/dom.js";
import { say } from "../ground/words.js";

/** @param {any} row of the Water page, with an index */
export function waterMore(row) {
  const { more, hocl, handbook, index } = row;
  const lines = [
    say(Number(more.ccpp_mg_l) < 0 ? "more.ccpp-dissolves" : "more.ccpp-settles", {
      amount: more.ccpp_mg_l.replace("-", ""),
    }),
    say("more.buffer", { value: more.buffer_meq_l_ph }),
    say("more.ceiling", { value: more.co2_ceiling_ph }),
    say("more.model", { by: index.model }),
    handbook?.corrected && say("more.corrected", { value: handbook.corrected }),
    hocl?.stabilised && say("more.hocl-sets", { one: hocl.default_mg_l, other: hocl.lower_mg_l }),
    hocl && !hocl.stabilised && say("more.hocl-plain", { one: hocl.default_mg_l }),
  ].filter(Boolean);
  return h(
    "details",
    { class: "fold", "data-key": "more" },
    h("summary", {}, say("more.title", row)),
    h("ul", {}, lines.map((text, place) => h("li", { "data-key": `${place}` }, text))),
  );
}
