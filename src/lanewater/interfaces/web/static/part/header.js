/** The frame around every page: whose site, which page, who is here, and Everyone out. */

import { h } from "../ground/dom.js";
import { follow, linkToken } from "../ground/router.js";
import { keptStops } from "../ground/stops.js";
import { here } from "../ground/store.js";
import { goOn } from "../ground/witness.js";
import { say } from "../ground/words.js";
import { ownDevice } from "../offline/device.js";
import { sending } from "../offline/sync.js";
import { keepingWarnings } from "./keeping.js";
import { key } from "./key.js";
import { mark } from "./mark.js";
import { sendingNotes } from "./sending.js";

const PAGES = [
  ["/", "page.now"],
  ["/look", "page.look"],
  ["/test", "page.test"],
  ["/water", "page.water"],
  ["/incidents", "page.incidents"],
  ["/record", "page.record"],
  ["/site", "page.site"],
];

/** @param {string} path of the page that is shown */
export function header(path) {
  const enrolled = Boolean(here.me?.enrolled) && !linkToken();
  return h(
    "header",
    { class: "frame", "data-key": "header" },
    h("a", { class: "skip", href: "#main" }, say("frame.skip")),
    here.me?.demo && h("p", { class: "demo" }, h("span", {}, say("frame.demo"))),
    h(
      "div",
      { class: "frame-top" },
      h("a", { class: "home", href: "/", onclick: follow, "aria-label": say("frame.home") }, mark(), h("span", {}, "Lanewater")),
      h("p", { class: "site-name" }, here.me?.site?.name ?? ""),
      enrolled && person(),
      enrolled &&
        h(
          "a",
          { class: "key key-stop out", href: "/out", onclick: follow },
          h("span", {}, say("out.key")),
        ),
    ),
    enrolled && pages(path),
  );
}

function person() {
  const { person: id, initials, name, owner } = here.me;
  const known = id ? initials || name : say(here.unlisted ? "who.unlisted" : "who.nobody");
  return h(
    "a",
    { class: "who", href: `/sign-in${comingBack()}`, onclick: follow, "aria-label": say("who.switch", { name: known }) },
    owner ? say("who.owner") : known,
  );
}

/** Who takes over at the bench goes on where the other was. */
function comingBack() {
  const { pathname, search } = location;
  if (!["/test", "/look", "/incidents"].includes(pathname)) return "";
  return `?back=${encodeURIComponent(pathname + search)}`;
}

function pages(path) {
  return h(
    "nav",
    { class: "pages", "aria-label": say("frame.pages") },
    PAGES.map(([href, word]) =>
      h(
        "a",
        { href, onclick: follow, "aria-current": href === path ? "page" : null },
        say(word),
      ),
    ),
  );
}

/** What everybody must know before typing anything, in large words. */
export function warnings() {
  const found = [];
  if (here.away && !ownDevice()) found.push(say("warn.away"));
  if (here.away && ownDevice() && sending.waiting === 0) found.push(say("warn.away.own"));
  if (here.me && here.me.recording === false) found.push(say("warn.trouble", { why: here.me.trouble }));
  const kept = keptStops().length;
  if (kept > 0) found.push(say("warn.kept", { count: kept }));
  found.push(...keepingWarnings());
  return [
    witnessed(),
    ...sendingNotes(),
    ...found.map((text) => h("p", { class: "warning", role: "alert" }, h("span", {}, text))),
  ];
}

/** The record does not go on from what this device has seen of it. */
function witnessed() {
  if (here.witness === null) return null;
  const { id } = here.witness;
  const mayGoOn = id === "restored" || (["key", "another"].includes(id) && here.me?.may_set_up);
  return h(
    "div",
    { class: "warning witness", role: "alert", "data-key": "witness" },
    h("span", {}, say(`witness.${id}`, here.witness), mayGoOn && key(say("witness.go-on"), goOn)),
  );
}
