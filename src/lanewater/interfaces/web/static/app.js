/** Start: words, who is here, then the page that the address names. */

import { languageOf, showLook } from "./ground/choices.js";
import { h, show } from "./ground/dom.js";
import { lockWhenIdle } from "./ground/idle.js";
import { linkToken, listen, pageAt, place } from "./ground/router.js";
import { refresh } from "./ground/session.js";
import { drawWith, here, redraw } from "./ground/store.js";
import { loadWords, say } from "./ground/words.js";
import { startPersistence } from "./offline/persist.js";
import { startShell } from "./offline/shell.js";
import { startOffline } from "./offline/start.js";
import { header, warnings } from "./part/header.js";
import { keepingLine } from "./part/keeping.js";
import { looksFold, speak } from "./part/looks.js";
import { takeUpAgain } from "./round/draft.js";

const FRESH_MS = 30_000;
const root = document.getElementById("page");
let page = null;
let shownPath = "";

async function turn() {
  const { path, query } = place();
  const wanted = here.me && !here.me.enrolled && !linkToken() ? "/sign-in" : path;
  page = await pageAt(wanted);
  const address = location.pathname + location.search + location.hash;
  const moved = shownPath !== address;
  shownPath = address;
  await page.enter?.(query);
  redraw();
  queueMicrotask(() => {
    if (moved) scrollTo(0, 0);
    page.settle?.();
  });
}

function draw() {
  if (page === null) return;
  speak();
  const { path } = place();
  document.title = say("frame.title", { page: page.title(), site: here.me?.site?.name ?? "" });
  show(
    root,
    header(path),
    h("main", { id: "main", tabindex: -1, class: page.kind ?? "" }, warnings(), page.tree()),
    h("footer", { class: "foot" }, h("p", {}, say("frame.foot")), looksFold(), keepingLine()),
  );
}

async function start() {
  showLook();
  await loadWords(languageOf(""));
  drawWith(draw);
  await startOffline(takeUpAgain);
  startPersistence();
  startShell();
  await refresh();
  listen(turn);
  await turn();
  lockWhenIdle(refresh);
  addEventListener("online", refresh);
  setInterval(() => document.visibilityState === "visible" && refresh(), FRESH_MS);
}

start();
