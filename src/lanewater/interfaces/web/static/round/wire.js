/** A draft as the server takes it. */

import { stamp } from "../ground/time.js";
import { say } from "../ground/words.js";
import { readingWords } from "../part/sentence.js";
import { finished, lastTouched, replaced } from "./draft.js";

const UNTESTED = ["clarity", "circulation", "temperature_c", "controller_free", "controller_ph"];

/** @param {import("./draft.js").Draft} draft @param {any} context */
export function wireRound(draft, context) {
  const round = {
    id: draft.id,
    pool: draft.pool,
    at: stamp(draft.taken || lastTouched(draft)),
    readings: finished(draft).map((field) => wireReading(field, draft, context.reagents ?? [])),
  };
  if (draft.source !== "direct") round.source = draft.source;
  else if (draft.repeats) round.repeats = draft.repeats;
  const before = replaced(draft);
  if (before.length) round.changed_after_result = before.map(wireChange);
  const notes = [...firstTries(draft), ...Object.values(draft.early ?? {}), ...draft.notes];
  if (notes.length) round.note = notes.join("\n");
  return round;
}

/** A round as the server is told it: of a reading between two colours only the colours. */
export function toldToServer(round) {
  const told = ({ value, ...rest }) => (rest.between ? rest : { value, ...rest });
  return { ...round, readings: round.readings.map(told) };
}

/** Which of the numbers that were replaced are first tries of a test that was done again. */
function firstTries(draft) {
  if (draft.tries.length === 0) return [];
  const names = draft.tries.map((one) => readingWords(one)).join(", ");
  return [say("test.first-try-note", { names })];
}

function wireReading(field, draft, reagents) {
  const kit = kitOf(field, draft);
  const lot = kit ? lotInUse(field.parameter, kit, reagents) : "";
  return {
    parameter: field.parameter,
    value: field.value,
    ...(draft.source === "direct" && { at: stamp(field.at) }),
    ...(field.unit && { unit: field.unit }),
    ...(field.point && { point: field.point }),
    ...(field.dilution > 1 && { dilution: field.dilution }),
    ...(field.between && { between: field.between }),
    ...(kit && { kit }),
    ...(lot && { lot }),
  };
}

/** The kit a field was tested with; "" for what is looked at or read off elsewhere. */
export function kitOf(field, draft) {
  return UNTESTED.includes(field.parameter) ? "" : (draft.kit ?? "");
}

/** A lot is known only where the site has one lot of that reagent in use. */
export function lotInUse(parameter, kit, reagents) {
  const lots = reagents.filter(
    (one) => one.parameter === parameter && (!one.kit || one.kit === kit),
  );
  return lots.length === 1 ? lots[0].lot : "";
}

function wireChange(one) {
  return {
    parameter: one.parameter,
    value: one.value,
    at: stamp(one.at),
    ...(one.point && { point: one.point }),
  };
}
