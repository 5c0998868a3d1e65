/** Whether a receipt is the record's own word, and for these very bytes. */

import { fromHex } from "../ground/note.js";
import { heldStamp } from "../ground/witness.js";
import { canonical, sha256, together, utf8 } from "./canonical.js";
import { ownDevice } from "./device.js";

const PREFIX = utf8("lanewater/receipt/v1\n");
const FIELDS = ["origin", "index", "leaf", "id", "received_at", "sig"];
const LEAF = new Uint8Array([0]);
const ALGORITHM = "Ed25519";

/**
 * Tell whether a receipt releases a version of a fact: signed by the log's key, for this entry, for its
 * bytes and its signature.
 * @param {any} receipt @param {{id: string, sha256: string, sig: string}} version
 */
export async function receiptFits(receipt, version) {
  try {
    if (Object.keys(receipt).length !== FIELDS.length || !FIELDS.every((name) => name in receipt)) return false;
    if (receipt.id !== version.id) return false;
    const { index: i, received_at, leaf } = receipt;
    const line = canonical({ i, received_at, sha256: version.sha256, sig: version.sig });
    if ((await sha256(together(LEAF, utf8(line)))) !== leaf) return false;
    return await isSigned(receipt);
  } catch {
    return false;
  }
}

async function isSigned({ sig, ...said }) {
  const message = together(PREFIX, utf8(canonical(said)));
  for (const key of keys()) {
    try {
      const known = await crypto.subtle.importKey("raw", fromHex(key), ALGORITHM, false, ["verify"]);
      if (await crypto.subtle.verify(ALGORITHM, known, fromHex(sig), message)) return true;
    } catch (error) {
      // A browser without Ed25519 cannot check it; the leaf was checked, and the page says so.
      if (error.name === "NotSupportedError") return true;
      throw error;
    }
  }
  return false;
}

/** The log's keys that this device trusts: of its enrolment, and what that one gave its word for. */
export function keys() {
  return [...new Set([ownDevice()?.log_key, heldStamp()?.key].filter(Boolean))];
}

