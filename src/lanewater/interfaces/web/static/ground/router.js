/** Addresses and pages: links inside the site change the page without loading it again. */

/** @type {Record<string, () => Promise<any>>} */
const PAGES = {
  "/": () => import("../page/now.js"),
  "/due": () => import("../page/due.js"),
  "/look": () => import("../page/look.js"),
  "/test": () => import("../page/test.js"),
  "/water": () => import("../page/water.js"),
  "/incidents": () => import("../page/incidents.js"),
  "/record": () => import("../page/record.js"),
  "/site": () => import("../page/site.js"),
  "/sign-in": () => import("../page/signin.js"),
  "/out": () => import("../page/out.js"),
  "/sign": () => import("../page/sign.js"),
  "/sample": () => import("../page/sample.js"),
  "/handover": () => import("../page/handover.js"),
};
/** An inspector's page stands behind the hash: no server and no log ever sees the token there. */
const INSPECTION = "#/inspection/";
const inspection = () => import("../page/inspection.js");

let moved = () => {};

/** @param {() => void} onMove called after every change of address */
export function listen(onMove) {
  moved = onMove;
  addEventListener("popstate", onMove);
}

/** @returns {{path: string, query: URLSearchParams}} */
export function place() {
  if (linkToken()) return { path: INSPECTION, query: new URLSearchParams() };
  const path = location.pathname in PAGES ? location.pathname : "/";
  return { path, query: new URLSearchParams(location.search) };
}

export function pageAt(path) {
  return path === INSPECTION ? inspection() : PAGES[path]();
}

/** The token of an inspector's link in the address, "" where there is none. */
export function linkToken() {
  return location.hash.startsWith(INSPECTION) ? location.hash.slice(INSPECTION.length) : "";
}

/** @param {string} address */
export function go(address) {
  if (address !== location.pathname + location.search) history.pushState(null, "", address);
  moved();
}

/** A click handler for links inside the site. @param {MouseEvent} event */
export function follow(event) {
  if (event.ctrlKey || event.metaKey || event.shiftKey || event.altKey) return;
  event.preventDefault();
  go(event.currentTarget.getAttribute("href"));
}
