/** What can happen, as keys in three groups: in the water, plant, people and weather. */

import { h } from "../ground/dom.js";
import { say } from "../ground/words.js";
import { GROUPS } from "../offline/incidents.js";
import { key } from "./key.js";

/** @param {(kind: string) => void} onChoose */
export function kindKeys(onChoose) {
  return GROUPS.map(([group, kinds]) =>
    h(
      "div",
      { class: "kinds", role: "group", "aria-label": say(`incidents.group.${group}`), "data-key": group },
      h("h3", {}, say(`incidents.group.${group}`)),
      h(
        "div",
        { class: "keys kind-keys" },
        kinds.map((kind) => key(say(`incident.kind.${kind}`), () => onChoose(kind), { "data-key": kind })),
      ),
    ),
  );
}
