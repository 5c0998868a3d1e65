/** The strip of running stands, on every page: whose second tablet is in, and how long it still stands. */

import { h } from "../ground/dom.js";
import { follow } from "../ground/router.js";
import { poolName } from "../ground/store.js";
import { countdown } from "../ground/time.js";
import { say } from "../ground/words.js";
import { stands, startStands } from "../round/stands.js";

/** Nothing where no stand runs. */
export function standStrip() {
  const found = stands();
  if (found.length === 0) return null;
  return h(
    "nav",
    { class: "stands", "aria-label": say("stands.label"), "data-key": "stands" },
    found.map((one) =>
      h(
        "a",
        {
          class: `key stand-link${one.left > 0 ? "" : " key-main"}`,
          href: `/test?pool=${one.pool}`,
          onclick: follow,
          role: one.left > 0 ? null : "alert",
          "data-key": nameOf(one),
          "data-stand": nameOf(one),
        },
        words(one),
      ),
    ),
  );
}

/** Have the strip count, whatever page is shown. */
export function countStands() {
  startStands((one) => {
    const place = document.querySelector(`.stands [data-stand="${CSS.escape(nameOf(one))}"]`);
    if (place && place.textContent !== words(one)) place.textContent = words(one);
    const row = document.querySelector(`.stand[data-stand="${CSS.escape(nameOf(one))}"]`);
    if (row) row.textContent = standWords(one);
  });
}

const nameOf = ({ pool, point }) => `${pool}@${point}`;

function words({ pool, point, left }) {
  const place = point ? `${poolName(pool)}, ${point}` : poolName(pool);
  return left > 0 ? say("stands.left", { place, left: countdown(left) }) : say("stands.over", { place });
}

/** What stands under the total's field. @param {import("../round/stands.js").Stand} stand */
export function standWords({ left, whole }) {
  return say("stand.runs", { left: countdown(left), whole: countdown(whole) });
}
