/** Stamps of the record: a signed note of three lines, its signature, and one key's word for the next. */

const ORIGIN = /^(lanewater\/[a-z0-9][a-z0-9._:-]{0,63}\/[0-9a-f]{16})\/([1-9][0-9]{0,8})$/;
const SIZE = /^(0|[1-9][0-9]{0,15})$/;
const SIGNATURE = /^— ([!-*,-~]{1,128}) ([A-Za-z0-9+/]+={0,2})$/;
const LONGEST = 4096;
const ED25519 = 1;

/** What every signature here is made with. */
const ALGORITHM = "Ed25519";

/**
 * Read a note strictly; whether it holds, `noteHolds` tells.
 * @param {string} text
 */
export function readNote(text) {
  const [said, below, ...more] = text.split("\n\n");
  const lines = said.split("\n");
  const origin = ORIGIN.exec(lines[0] ?? "");
  if (text.length > LONGEST || more.length || lines.length !== 3 || !below?.endsWith("\n") || !origin || !SIZE.test(lines[1])) {
    throw new Error("no stamp");
  }
  const root = bytesOf(lines[2]);
  if (root.length !== 32) throw new Error("no stamp");
  const signatures = below.slice(0, -1).split("\n").map(readSignature);
  return { name: origin[1], epoch: Number(origin[2]), size: Number(lines[1]), root, said: `${said}\n`, signatures };
}

function readSignature(line) {
  const found = SIGNATURE.exec(line);
  if (!found) throw new Error("no stamp");
  const raw = bytesOf(found[2]);
  return { name: found[1], id: hexOf(raw.slice(0, 4)), raw: raw.slice(4) };
}

/** Whether a note carries the signature of a key, and none that claims that key and does not fit. */
export async function noteHolds(note, publicHex) {
  const id = await keyId(note.name, publicHex);
  const claimed = note.signatures.filter((one) => one.name === note.name && one.id === id);
  const fits = await Promise.all(claimed.map((one) => signed(publicHex, one.raw, utf8(note.said))));
  return fits.length > 0 && fits.every(Boolean);
}

/** Whether the older key gave its word for the newer one. */
export function wordHolds(wordHex, olderHex, newerHex) {
  const message = [...utf8("lanewater/log-key/v1\n"), ...fromHex(newerHex)];
  return signed(olderHex, fromHex(wordHex), new Uint8Array(message));
}

async function keyId(name, publicHex) {
  const named = new Uint8Array([...utf8(`${name}\n`), ED25519, ...fromHex(publicHex)]);
  return hexOf(new Uint8Array(await crypto.subtle.digest("SHA-256", named)).slice(0, 4));
}

async function signed(publicHex, signature, message) {
  const key = await crypto.subtle.importKey("raw", fromHex(publicHex), ALGORITHM, false, ["verify"]);
  return crypto.subtle.verify(ALGORITHM, key, signature, message);
}

function utf8(text) {
  return new TextEncoder().encode(text);
}

function bytesOf(base64) {
  const raw = Uint8Array.from(atob(base64), (letter) => letter.charCodeAt(0));
  if (btoa(String.fromCharCode(...raw)) !== base64) throw new Error("no stamp");
  return raw;
}

/** @param {string} hex @returns {Uint8Array} */
export function fromHex(hex) {
  if (!/^([0-9a-f]{2})*$/.test(hex)) throw new Error("no hexadecimal digits");
  return Uint8Array.from(hex.match(/../g) ?? [], (pair) => Number.parseInt(pair, 16));
}

/** @param {Uint8Array} raw */
export function hexOf(raw) {
  return [...raw].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}
