/** What was done on this device, as lines of the record: the same shape, and whether it is on it yet. */

/** @param {{entry: any, receipt: any, state: string, why: string}} one @param {any} judged of its round */
export function lineOf({ entry, receipt, state, why }, judged) {
  const { tester, ...body } = entry.body;
  const line = {
    index: receipt?.index ?? null,
    id: entry.id,
    type: entry.type,
    at: entry.at,
    recorded_at: entry.rec,
    received_at: null,
    pool: body.pool,
    by: entry.user,
    method: entry.auth.method,
    verified: entry.auth.method === "pin",
    through: entry.dev,
    body,
    timing: "on-time",
    here: state,
    why,
    ...(entry.reason && { reason: entry.reason }),
    ...(entry.amends && { amends: entry.amends }),
  };
  if (entry.type !== "round-recorded") return line;
  const readings = body.readings.map((reading) => ({ dilution: 1, point: "", ...reading, corrected: [] }));
  return { ...line, readings, judged: [], ...(judged && { overall: judged.overall, changed_to_pass: judged.changed_to_pass }) };
}

/**
 * The same lines with what was corrected here beside what it corrects.
 * @param {any[]} lines @param {{entry: any}[]} own
 */
export function withCorrections(lines, own) {
  const made = own.map(({ entry }) => entry).filter((entry) => entry.type === "reading-corrected");
  return lines.map((line) => {
    const about = made.filter((entry) => entry.amends === line.id || entry.body.round === line.id);
    return about.length === 0 || !line.readings ? line : { ...line, readings: line.readings.map((one) => corrected(one, about)) };
  });
}

function corrected(reading, about) {
  const found = about.filter(
    ({ body }) => body.parameter === reading.parameter && (body.point ?? "") === (reading.point ?? ""),
  );
  const more = found
    .filter((entry) => !(reading.corrected ?? []).some((one) => one.at === entry.at && one.value === entry.body.value))
    .map((entry) => ({ value: entry.body.value, by: entry.user, at: entry.at, reason: entry.reason ?? "" }));
  return { ...reading, corrected: [...(reading.corrected ?? []), ...more] };
}
