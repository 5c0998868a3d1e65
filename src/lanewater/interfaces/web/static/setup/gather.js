/** What was typed in a form, as the item the server takes; what was left empty is left out. */

/** @param {any[]} fields @param {FormData} data @param {Record<string, number>} rows */
export function gather(fields, data, rows) {
  const item = {};
  for (const field of fields) put(item, field.name, read(field, field.name, data, rows));
  return item;
}

function read(field, name, data, rows) {
  if (field.as === "rows") return rowsOf(field, name, data, rows);
  if (field.as === "ticks") return some(data.getAll(name));
  if (field.as === "pairs") return some(data.getAll(name).map(pair));
  if (field.as === "flag") return data.get(name) === "yes" ? true : undefined;
  if (field.as === "volume") return volume(data);
  const text = String(data.get(name) ?? "").trim();
  if (text === "") return undefined;
  if (field.as === "whole") return Number(text);
  if (field.as === "decimal") return text.replace(",", ".");
  if (field.as === "lines") return text.split("\n").map((one) => one.trim()).filter(Boolean);
  return text;
}

function some(list) {
  return list.length ? list : undefined;
}

function pair(text) {
  const [pool, purpose] = text.split(" ");
  return { pool, purpose };
}

function volume(data) {
  const value = String(data.get("volume.value") ?? "").trim().replace(",", ".");
  const unit = data.get("volume.unit");
  return value || unit ? { value, unit } : undefined;
}

function rowsOf(field, name, data, rows) {
  const found = [];
  for (let index = 0; index < (rows[name] ?? 0); index += 1) {
    const row = {};
    for (const inner of field.of) {
      const value = read(inner, `${name}.${index}.${inner.name}`, data, rows);
      if (value !== undefined) row[inner.name] = value;
    }
    if (Object.keys(row).length) found.push(...SHAPED[name]?.(row) ?? [row]);
  }
  return some(found);
}

/** Rows whose wire form differs from what is typed. */
const SHAPED = {
  competences: (row) => [{ covers: "hand-dosing", ...row }],
  hours: (row) => {
    const days = row.day === "every" ? [0, 1, 2, 3, 4, 5, 6] : [Number(row.day)];
    return days.map((day) => ({ ...row, day }));
  },
};

function put(item, path, value) {
  if (value === undefined) return;
  const steps = path.split(".");
  const last = steps.pop();
  let place = item;
  for (const step of steps) place = place[step] ??= {};
  place[last] = value;
}
