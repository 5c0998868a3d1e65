/**
 * The pages themselves, kept on this device by the worker (/sw.js). A newer version that is whole waits
 * until nothing is in hand here or in any other tab: no round begun, nothing unsent, nothing typed.
 */

import { redraw } from "../ground/store.js";
import { draftsHeld } from "./drafts.js";
import { sending } from "./sync.js";

const WORKER = "/sw.js";
const LOOK_EVERY_MS = 10_000;
const ASK_EVERY_MS = 60 * 60_000;
const ANSWER_MS = 10_000;
/** So long after the last tap nobody is about to tap again. */
const QUIET_MS = 15_000;
/** A choice of what is shown is nothing that could be lost. */
const SHOWN_ONLY = ["/water"];
/** What is under way there stands in no draft. */
const NEVER_AMID = ["/out"];

/**
 * How the pages are kept here.
 * @type {{state: "none"|"coming"|"whole"|"refused", newer: boolean}} none: this browser was not asked, or has
 * no workers; newer: a version waits
 */
export const shell = { state: "none", newer: false };

let touched = 0;
let asked = 0;
let started = false;

/** Have the pages kept. To be called once what this device keeps is read back; it never throws. */
export async function startShell() {
  started = true;
  const { serviceWorker } = navigator;
  if (!serviceWorker) return;
  serviceWorker.addEventListener("message", hear);
  serviceWorker.startMessages?.();
  const touch = () => {
    touched = Date.now();
  };
  addEventListener("pointerdown", touch, { capture: true, passive: true });
  addEventListener("keydown", touch, { capture: true });
  asked = Date.now();
  try {
    const found = await serviceWorker.register(WORKER, { updateViaCache: "none" });
    // A browser told to have no workers says so by giving none.
    if (!found) return;
    become("coming");
  } catch (error) {
    // No answer from the server: what is here already goes on.
    if (serviceWorker.controller === null && error.name !== "TypeError") return become("refused");
  }
  setInterval(look, LOOK_EVERY_MS);
  document.addEventListener("visibilitychange", look);
  serviceWorker.addEventListener("controllerchange", look);
  await look();
}

/** Whether anything stands half done at this page, which a newer version must not interrupt. */
export function inHand() {
  return (
    !started ||
    draftsHeld().length > 0 ||
    // What the record refuses for good stays here in any version, and may need the newer one.
    sending.waiting > sending.aside ||
    NEVER_AMID.includes(location.pathname) ||
    Date.now() - touched < QUIET_MS ||
    halfFilled()
  );
}

function halfFilled() {
  const typed = [...document.querySelectorAll("main :is(input, textarea, select)")];
  if (typed.some(changed)) return true;
  if (document.activeElement?.matches("input, textarea, select")) return true;
  if (document.querySelector("main :is(form, dialog[open])")) return true;
  return !SHOWN_ONLY.includes(location.pathname) && document.querySelector("main [aria-pressed='true']") !== null;
}

function changed(field) {
  if (field.type === "checkbox" || field.type === "radio") return field.checked !== field.defaultChecked;
  return field.localName !== "select" && field.value !== field.defaultValue;
}

/** See how the versions stand; let the newer one take over where nothing is in hand. */
async function look() {
  const registration = await navigator.serviceWorker.getRegistration().catch(() => null);
  if (!registration?.active) return;
  const { used = "", ready = "" } = await ask(registration.active, "versions");
  become(used ? "whole" : "coming", used !== "" && ready !== "" && used !== ready);
  if (shell.newer && !inHand()) await ask(registration.active, "take-over");
  if (document.visibilityState === "visible" && Date.now() - asked > ASK_EVERY_MS) {
    asked = Date.now();
    registration.update().catch(() => null);
  }
}

function become(state, newer = false) {
  if (shell.state === state && shell.newer === newer) return;
  Object.assign(shell, { state, newer });
  document.body.dataset.shell = newer ? "newer" : state;
  redraw();
}

/** Ask the worker; a worker that does not answer has said nothing. */
function ask(worker, what) {
  return new Promise((resolve) => {
    const { port1, port2 } = new MessageChannel();
    port1.onmessage = ({ data }) => resolve(data);
    setTimeout(() => resolve({}), ANSWER_MS);
    worker.postMessage({ do: what }, [port2]);
  });
}

function hear({ data, ports }) {
  if (data?.do === "in-hand") ports[0]?.postMessage(inHand() ? "in-hand" : "free");
  if (data?.do === "start-anew") location.reload();
}
