/** A tablet without its pages: rounds through its own outbox, and what is left of them. */

import { asked, inStores } from "/static/offline/base.js";
import { sha256, utf8 } from "/static/offline/canonical.js";
import { deviceOf, isOwn, keepDevice, makeKey, openDevice } from "/static/offline/device.js";
import { record } from "/static/offline/outbox.js";
import { keepDraft } from "/static/offline/drafts.js";

/** Enrol this browser as it would be, with no server behind it. */
export async function prepare() {
  const made = await makeKey();
  const device = await deviceOf(made.public_key);
  const told = { device, site: "harbour", log_key: "00".repeat(32) };
  await keepDevice(made, told, "Tablet", "shared");
}

/** Type a round, key by key, and save it; its id once the page would say so. */
export async function keep(number) {
  const draft = { pool: "main", keys: "" };
  for (const key of "152743168") {
    draft.keys += key;
    keepDraft("main", { ...draft });
  }
  const reading = { parameter: "free_chlorine", value: `1.${String(number).padStart(2, "0")}` };
  const entry = await record("round-recorded", {
    pool: "main", source: "direct", tester: { unlisted: true }, readings: [reading],
  });
  return entry.id;
}

/** The rounds that are whole: in the sequence without a gap, signed by this browser's own key. */
export async function kept() {
  await openDevice();
  const rows = await inStores(["chain", "signed", "facts"], "readonly", async ({ chain, signed, facts }) => {
    const places = await asked(chain.getAll());
    const versions = await Promise.all(places.map((row) => asked(signed.get(row.sha256))));
    const known = await Promise.all(places.map((row) => asked(facts.get(row.id))));
    return places.map((row, place) => ({ row, version: versions[place], fact: known[place] }));
  });
  const found = [];
  let before = "";
  for (const [place, { row, version, fact }] of rows.entries()) {
    const bytes = utf8(version.text);
    const whole = row.dseq === place + 1 && version.dprev === before && fact.open === 1;
    if (!whole || (await sha256(bytes)) !== row.sha256 || !(await isOwn(bytes, version.sig))) break;
    before = row.sha256;
    found.push(row.id);
  }
  return found;
}
