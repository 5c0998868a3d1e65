/** Whether this device keeps what it holds, and works without a network: in words on every page. */

import { h } from "../ground/dom.js";
import { here } from "../ground/store.js";
import { day } from "../ground/time.js";
import { say } from "../ground/words.js";
import { ownDevice } from "../offline/device.js";
import { install, keptUntil, persistence } from "../offline/persist.js";
import { shell } from "../offline/shell.js";
import { keepsNot } from "../offline/start.js";
import { sending } from "../offline/sync.js";
import { key } from "./key.js";

/** What must be known before the first reading is typed, most pressing first. @returns {string[]} */
export function keepingWarnings() {
  const found = [];
  const insecure = !window.isSecureContext || here.me?.secure === false;
  if (insecure) found.push(say("warn.insecure"));
  const why = keepsNot();
  const said = (why === "insecure" && insecure) || (why === "no-key" && !here.me?.enrolled);
  if (why && !said) found.push(say(`warn.keeps.${why}`));
  if (!insecure && shell.state === "refused") found.push(say("warn.no-worker"));
  if (mayBeLost()) {
    found.push(say("warn.may-be-lost", { count: sending.waiting, date: day(keptUntil()) }));
  }
  return found;
}

/** Something waits here alone, nobody answers, and the browser has not given its word. */
function mayBeLost() {
  return sending.waiting > 0 && here.away && persistence.known && !persistence.granted;
}

/** One quiet line at the foot of every page. */
export function keepingLine() {
  if (!ownDevice() || here.keeps || shell.state === "refused") return null;
  return h(
    "p",
    { class: "keeping", "data-key": "keeping" },
    shell.newer && h("span", {}, say("keeping.newer"), " "),
    h("span", {}, standing()),
    persistence.offer && key(say("keeping.install.do"), install),
  );
}

function standing() {
  if (shell.state !== "whole") return say("keeping.coming");
  if (persistence.granted) return say("keeping.granted");
  const date = day(keptUntil());
  return say(persistence.installed ? "keeping.installed" : "keeping.install", { date });
}
