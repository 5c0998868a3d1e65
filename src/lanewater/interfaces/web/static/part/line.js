/** One line of the record, in words. Nothing is overwritten: what was corrected is struck through. */

import { h } from "../ground/dom.js";
import { here, poolName } from "../ground/store.js";
import { clock, day, when } from "../ground/time.js";
import { listed, say, sayOr } from "../ground/words.js";
import { correctKey } from "./correction.js";
import { pairWords } from "./repeats.js";
import { onePoint, overallShown, readingWords, who } from "./sentence.js";
import { outcomeShape } from "./shape.js";

/** @param {any} line @param {any[]} lines those of the same day, to find what a line is about */
export function lineView(line, lines) {
  return h(
    "li",
    { class: `line line-${line.type}`, "data-key": line.id },
    h("p", { class: "line-at" }, clock(line.at)),
    h(
      "div",
      { class: "line-body" },
      h("p", {}, line.pool && h("b", {}, `${poolName(line.pool)}. `), line.words ?? sentence(line, lines), " ", by(line)),
      marks(line),
      line.type === "round-recorded" && [readings(line), pairWords(line, lines)],
      line.reason && h("p", {}, say("line.reason", { reason: line.reason })),
      h("p", { class: "small window" }, windowWords(line)),
    ),
  );
}

function by(line) {
  const people = here.now?.people ?? {};
  if (line.by === "lanewater") return h("span", { class: "small" }, say("who.program"));
  if (["shell", "key"].includes(line.method)) return h("span", { class: "small" }, say(`who.by-${line.method}`));
  const mark = line.verified ? "" : ` (${say(line.method === "pin" ? "who.on-device" : "who.unverified")})`;
  return h("span", { class: "small" }, who(line.by, people), mark);
}

/** The time as typed is a claim; between which times the line came on record is proved. */
function windowWords(line) {
  if (line.here) return say("window.here", { at: when(line.recorded_at) });
  const proved = provedWords(line.window);
  return line.timing === "on-time" ? proved : say("window.claimed", { at: when(line.at), proved });
}

function provedWords(window) {
  const to = when(window.to);
  if (!window.from) return say("window.by", { to });
  const from = when(window.from);
  return from === to ? say("window.at", { to }) : say("window.between", { from, to });
}

function marks(line) {
  const found = [];
  if (line.timing !== "on-time") found.push(say(`mark.${line.timing}`, { at: when(line.recorded_at) }));
  if (line.here && line.here !== "recorded") found.push(say(`mark.here-${line.here}`));
  if (line.after_reported_loss) found.push(say("mark.after-loss"));
  if (line.without_authority) found.push(say("mark.without-authority"));
  if (line.body.changed_after_result) found.push(say("mark.changed"));
  if (line.body.marked?.length) found.push(say("mark.with-reason"));
  if (found.length === 0) return null;
  return h("p", { class: "marks" }, found.map((text) => h("span", { class: "mark-word" }, text)));
}

function readings(line) {
  const changed = line.body.changed_after_result ?? [];
  const point = onePoint(line.readings);
  const overall = line.overall && overallShown(line);
  return [
    overall &&
      h("p", { class: "line-outcome" }, outcomeShape(overall), h("strong", {}, say(`outcome.${overall}`)), judgedThen(line)),
    point && h("p", { class: "small" }, say("line.taken-at", { point })),
    h(
      "ul",
      { class: "readings" },
      line.readings.map((reading, index) =>
        h(
          "li",
          { "data-key": `${index}` },
          correctKey(line, reading, [
            changed
              .filter((one) => one.parameter === reading.parameter && (one.point ?? "") === (reading.point ?? ""))
              .map((one) => [h("s", {}, one.value), " "]),
            asCorrected(point ? { ...reading, point: "" } : reading),
          ]),
        ),
      ),
    ),
    line.body.note && h("p", { class: "small" }, line.body.note),
  ];
}

/** What was judged before a correction stays beside what is judged now. */
function judgedThen(line) {
  const past = line.judged ?? [];
  if (past.length < 2) return null;
  const [first] = past;
  const last = past[past.length - 1];
  const words = { outcome: say(`outcome.${first.overall}`), at: when(last.corrected_at ?? last.at) };
  return h("span", { class: "small" }, ` ${say("line.judged-then", words)}`);
}

function asCorrected(reading) {
  const corrected = reading.corrected ?? [];
  if (corrected.length === 0) return h("span", {}, readingWords(reading));
  const last = corrected[corrected.length - 1];
  return h(
    "span",
    {},
    h("s", {}, readingWords(reading)),
    corrected.slice(0, -1).map((one) => [" ", h("s", {}, one.value)]),
    " ",
    h("b", {}, readingWords({ ...reading, value: last.value })),
    h("span", { class: "small" }, ` ${say("line.corrected", { by: who(last.by, here.now?.people), reason: last.reason })}`),
  );
}

function sentence(line, lines) {
  const body = line.body;
  const values = {
    at: clock(line.at),
    stop: body.stop ? say(`stop.${body.stop}`) : (body.stops ?? []).map((id) => say(`stop.${id}`)).join(", "),
    name: body.name ?? "",
    rules: body.rules ?? "",
    outcome: body.overall ? say(`outcome.${body.overall}`) : "",
    product: line.product_name ?? body.product ?? "",
    amount: body.amount ? `${body.amount} ${body.unit}` : "",
    answer: body.answer ? answerWords(line) : "",
    reading: body.parameter ? corrected(body) : "",
    whom: body.whom ? whomTold(body.whom) : "",
    person: body.person ? who(body.person, here.now?.people) : "",
    word: body.word_of ? who(body.word_of, here.now?.people) : "",
    size: body.size ?? "",
    held: body.held_size ?? "",
    about: body.about ? about(body.about, lines) : "",
    authority: body.authority ?? "",
    ...ofDuty(line),
    ...ofIncident(line),
  };
  const key = wordsKey(line);
  return sayOr(key, "") ? say(key, values) : line.type;
}

/** What an incident's lines name. */
function ofIncident({ type, body }) {
  if (!type.startsWith("incident-")) return {};
  return {
    kind: body.kind ? say(`incident.kind.${body.kind}`) : "",
    pools: listed((body.pools ?? []).map(poolName)),
    step: body.step ? sayOr(`incident.step.${body.step}`, body.step) : "",
    route: body.route ?? "",
    count: body.count ?? 0,
    words: body.words ?? "",
  };
}

/** What the lines of duties and events name. */
function ofDuty({ type, body }) {
  if (type === "duty-done") return { duty: body.duty.split(":").at(-1) };
  return type === "event-noted" ? { what: say(`noted.${body.what}`) } : {};
}

/** What was answered: of an addition, or of a step or a duty. */
function answerWords({ body: { answer } }) {
  return sayOr(`added.${answer}`, "") || sayOr(`incidents.answer.${answer}`, answer);
}

function wordsKey(line) {
  if (line.type === "incident-ended") return `line.incident-ended.${line.body.outcome}`;
  if (line.type === "incident-noted") return `line.incident-noted.${line.body.what}`;
  if (line.type === "pool-opened" && line.body.word_of) return "line.pool-opened.by-telephone";
  if (line.type === "pool-opened" && line.body.standing) return "line.pool-opened.standing";
  if (line.type === "pool-closed" && line.body.by_order) return "line.pool-closed.by-order";
  if (line.type === "pool-closed") return `line.pool-closed.${line.body.kind}`;
  if (line.type === "opening-settled") return `line.opening-settled.${line.body.status}`;
  return `line.${line.type}`;
}

function corrected(body) {
  return `${readingWords({ ...body, value: body.was })} → ${body.value}`;
}

function whomTold(id) {
  const contact = here.site?.contacts?.find((one) => (one.id ?? one.contact) === id);
  return contact?.name ?? who(id, here.now?.people);
}

function about(id, lines) {
  const found = lines.find((one) => one.id === id);
  return found ? say("line.about", { at: clock(found.at) }) : day(Date.now());
}
