/**
 * Pages are plain functions that give a tree of elements; `show` brings the document to that tree
 * and keeps what is already there, so that focus, scroll and half-typed fields survive a redraw.
 */

/** @typedef {Node | string | number | null | undefined | false | Child[]} Child */

const HANDLERS = ["onclick", "onkeydown", "onsubmit", "oninput", "onchange"];
/** Whether somebody has unfolded a part of the page is theirs, not ours. */
const UNFOLDED = "open";
const SVG = "http://www.w3.org/2000/svg";

/**
 * Make an element.
 * @param {string} tag
 * @param {Record<string, any>} [props] attributes; functions become handlers; false and null are left out
 * @param {...Child} children
 * @returns {HTMLElement}
 */
export function h(tag, props = {}, ...children) {
  return /** @type {HTMLElement} */ (fill(document.createElement(tag), props, children));
}

/** Make an SVG element. @returns {SVGElement} */
export function svg(tag, props = {}, ...children) {
  return /** @type {SVGElement} */ (fill(document.createElementNS(SVG, tag), props, children));
}

function fill(element, props, children) {
  for (const [name, value] of Object.entries(props)) {
    if (typeof value === "function") element[name] = value;
    else if (value === true) element.setAttribute(name, "");
    else if (value !== false && value !== null && value !== undefined) {
      element.setAttribute(name, String(value));
    }
  }
  append(element, children);
  return element;
}

function append(element, children) {
  for (const child of children) {
    if (Array.isArray(child)) append(element, child);
    else if (child instanceof Node) element.append(child);
    else if (child !== null && child !== undefined && child !== false) {
      element.append(String(child));
    }
  }
}

/**
 * Bring the children of an element to a new list.
 * @param {Element} parent
 * @param {...Child} children
 */
export function show(parent, ...children) {
  const fresh = document.createElement("div");
  append(fresh, children);
  settle(parent, [...fresh.childNodes]);
}

function settle(parent, wanted) {
  wanted.forEach((node, index) => {
    const present = parent.childNodes[index];
    if (present === undefined) parent.append(node);
    else if (alike(present, node)) carryOver(present, node);
    else present.replaceWith(node);
  });
  while (parent.childNodes.length > wanted.length) parent.lastChild.remove();
}

function alike(present, wanted) {
  if (present.nodeType !== wanted.nodeType || present.nodeName !== wanted.nodeName) return false;
  return present.nodeType !== Node.ELEMENT_NODE || keyOf(present) === keyOf(wanted);
}

function keyOf(element) {
  return element.getAttribute("data-key") ?? element.getAttribute("id");
}

function carryOver(present, wanted) {
  if (present.nodeType !== Node.ELEMENT_NODE) {
    if (present.data !== wanted.data) present.data = wanted.data;
    return;
  }
  for (const { name } of [...present.attributes]) {
    if (!wanted.hasAttribute(name) && name !== UNFOLDED) present.removeAttribute(name);
  }
  for (const { name, value } of wanted.attributes) {
    if (present.getAttribute(name) !== value) present.setAttribute(name, value);
  }
  for (const name of HANDLERS) present[name] = wanted[name];
  settle(present, [...wanted.childNodes]);
}
