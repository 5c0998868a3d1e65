/** Start: words, who is here, then the page that the address names. */

import { languageOf, showLook } from "./ground/choices.js";
import { h, show } from "./ground/dom.js";
import { startGlove } from "./ground/glove.js";
import { lockWhenIdle } from "./ground/idle.js";
import { linkToken, listen, pageAt, place } from "./ground/router.js";
import { refresh } from "./ground/session.js";
import { drawWith, here, redraw } from "./ground/store.js";
import { loadWords, say } from "./ground/words.js";
import { startPersistence } from "./offline/persist.js";
import { startShell } from "./offline/shell.js";
import { startOffline } from "./offline/start.js";
import { hasView, startView } from "./offline/view.js";
import { header, warnings } from "./part/header.js";
import { incidentStrip } from "./part/incidentlane.js";
import { keepingLine } from "./part/keeping.js";
import { looksFold, speak } from "./part/looks.js";
import { countStands, standStrip } from "./part/stands.js";
import { takeUpAgain } from "./round/draft.js";

const FRESH_MS = 30_000;
/** So long the first page waits for the server; then it is drawn from what this device carries. */
const PATIENCE_MS = 700;
const root = document.getElementById("page");
let page = null;
let shownPath = "";

async function turn() {
  const { path, query } = place();
  const wanted = here.me && !here.me.enrolled && !linkToken() ? "/sign-in" : path;
  const address = location.pathname + location.search + location.hash;
  const found = await pageAt(wanted);
  // A page that comes late, after somebody went on elsewhere, is not shown under that address.
  if (address !== location.pathname + location.search + location.hash) return;
  page = found;
  const moved = shownPath !== address;
  shownPath = address;
  await page.enter?.(query);
  redraw();
  queueMicrotask(() => {
    if (moved) scrollTo(0, 0);
    page.settle?.();
  });
}

/** What comes and goes has a place of its own: beside the page it would have all of it drawn from nothing. */
function draw() {
  if (page === null) return;
  speak();
  const { path } = place();
  document.title = say("frame.title", { page: page.title(), site: here.me?.site?.name ?? "" });
  show(
    root,
    header(path),
    h("div", { class: "come-and-go", "data-key": "strips" }, standStrip(), hasView() && incidentStrip()),
    h("main", { id: "main", tabindex: -1, class: page.kind ?? "" }, inOrder()),
    h("footer", { class: "foot" }, h("p", {}, say("frame.foot")), looksFold(), keepingLine()),
  );
}

/** Warnings stand first, but never before "Everyone out", nor before what an open incident asks now. */
function inOrder() {
  const parts = [h("div", { class: "come-and-go", "data-key": "warnings" }, warnings()), page.tree()];
  return page.kind === "stop-page" || page.isUrgent?.() ? parts.reverse() : parts;
}

async function start() {
  showLook();
  startGlove();
  await loadWords(languageOf(""));
  drawWith(draw);
  await startOffline(takeUpAgain);
  await startView();
  startPersistence();
  startShell();
  const asked = refresh();
  await (hasView() ? Promise.race([asked, new Promise((done) => setTimeout(done, PATIENCE_MS))]) : asked);
  listen(turn);
  await turn();
  asked.then(() => here.me && !here.me.enrolled && turn());
  lockWhenIdle(refresh);
  countStands();
  addEventListener("online", refresh);
  setInterval(() => document.visibilityState === "visible" && refresh(), FRESH_MS);
}

start();
