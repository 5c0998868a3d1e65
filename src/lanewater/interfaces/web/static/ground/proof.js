/** Whether one record begins another: the check of RFC 9162 2.1.4.2. Sizes may pass 32 bits. */

import { fromHex, hexOf } from "./note.js";

const BRANCH = 1;
const EMPTY = "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855";
const HASH = /^[0-9a-f]{64}$/;

const half = (number) => Math.floor(number / 2);
const odd = (number) => number % 2 === 1;

/**
 * Whether a path proves that one tree begins another; false on anything odd. Hashes are hexadecimal.
 * @param {number} old @param {string} oldRoot @param {number} size @param {string} root
 * @param {string[]} path
 */
export async function consistencyHolds(old, oldRoot, size, root, path) {
  if (![old, size].every((one) => Number.isSafeInteger(one) && one >= 0) || old > size) return false;
  if (!Array.isArray(path) || ![oldRoot, root, ...path].every((one) => typeof one === "string" && HASH.test(one))) return false;
  if (old === 0) return path.length === 0 && oldRoot === EMPTY && (size > 0 || root === EMPTY);
  if (old === size) return path.length === 0 && oldRoot === root;
  const parts = isPowerOfTwo(old) ? [oldRoot, ...path] : path;
  const rebuilt = parts.length > 0 ? await bothRebuilt(old, size, parts) : null;
  return rebuilt !== null && rebuilt.older === oldRoot && rebuilt.newer === root;
}

function isPowerOfTwo(number) {
  let left = number;
  while (left > 1 && !odd(left)) left = half(left);
  return left === 1;
}

async function bothRebuilt(old, size, parts) {
  let here = old - 1;
  let last = size - 1;
  while (odd(here)) [here, last] = [half(here), half(last)];
  let older = parts[0];
  let newer = parts[0];
  for (const beside of parts.slice(1)) {
    if (last === 0) return null;
    if (odd(here) || here === last) {
      [older, newer] = await Promise.all([above(beside, older), above(beside, newer)]);
      while (!odd(here) && here !== 0) [here, last] = [half(here), half(last)];
    } else {
      newer = await above(newer, beside);
    }
    [here, last] = [half(here), half(last)];
  }
  return last === 0 ? { older, newer } : null;
}

async function above(left, right) {
  const both = new Uint8Array([BRANCH, ...fromHex(left), ...fromHex(right)]);
  return hexOf(new Uint8Array(await crypto.subtle.digest("SHA-256", both)));
}
