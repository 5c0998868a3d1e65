/** A laboratory sample is a round of another purpose: judged of what was tested, here and by the server. */

import { post } from "../ground/api.js";
import { fact } from "./local.js";
import { verdictOf } from "./view.js";
import { whoIsHere } from "./who.js";

const LATE_AFTER_MS = 60 * 60_000;

/**
 * Save a sample.
 * @param {{id: string, pool: string, at: string, readings: {parameter: string, value: string}[], note: string}} sample
 * @returns {Promise<{verdict: any, saved: string}>}
 */
export async function recordSample({ id, pool, at, readings, note }) {
  const { person } = whoIsHere();
  const late = Date.now() - Date.parse(at) > LATE_AFTER_MS;
  const said = { pool, purpose: "sample", readings, ...(note && { note }) };
  const body = { ...said, source: late ? "late" : "direct", tester: person ? { person } : { unlisted: true } };
  const found = await fact("round-recorded", body, { id, at }, () => post("/rounds", { id, at, ...said }));
  return found.saved === "here" ? { verdict: verdictOf(found.entry), saved: "here" } : found;
}
