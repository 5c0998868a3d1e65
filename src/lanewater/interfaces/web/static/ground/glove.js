/** Glove mode: every key 18 mm and more, 4 mm apart. A setting of this device, kept on it. */

const KEY = "glove";

/** Take up what was set on this device. */
export function startGlove() {
  show(read() === "yes");
}

export function gloveOn() {
  return document.documentElement.dataset.glove === "yes";
}

/** @param {boolean} on */
export function setGlove(on) {
  show(on);
  try {
    localStorage.setItem(KEY, on ? "yes" : "no");
  } catch {
    // Where nothing is kept it holds until the page is closed.
  }
}

function show(on) {
  document.documentElement.dataset.glove = on ? "yes" : "no";
}

function read() {
  try {
    return localStorage.getItem(KEY);
  } catch {
    return null;
  }
}
