/**
 * What to add. The server answers where it can; else the kernel works it out here, from the same request, and
 * only for a person whose competence is carried and whose PIN was checked. What is shown is on record first.
 */

import * as kernel from "../generated/kernel.js";
import { ApiError, post } from "../ground/api.js";
import { here, pools } from "../ground/store.js";
import { isoDay, stamp } from "../ground/time.js";
import { told } from "../ground/words.js";
import { amountSentence, assumedSentence, placeSentence, whySentence } from "../part/amountwords.js";
import { fromKernel, toKernel } from "../strict.js";
import { carried } from "./carry.js";
import { fact, writesHere } from "./local.js";
import { factsOf, heed } from "./view.js";
import { actingNow, whoIsHere } from "./who.js";

const DAY_MS = 86_400_000;
const MINUTE_S = 60;
const LATE_MS = 8_000;
const CALLED = ["plant-operator", "duty-manager"];
const EVERY_PRODUCT = "*";

/**
 * Ask what to add.
 * @param {{pool: string, questions: Record<string, string>, volume_of?: string, product?: string, accept_guess?: boolean}} given
 * @returns {Promise<any>} what POST /advice gives, and `saved`: here or record
 */
export async function advise(given) {
  const alone = here.away || whoIsHere().how === "device";
  if (alone && writesHere()) return adviseHere(given);
  try {
    const answer = await post("/advice", given, LATE_MS);
    heed({ after: true });
    return { ...answer, saved: "record" };
  } catch (error) {
    if (error.id !== "unreachable" || !writesHere()) throw error;
    return adviseHere(given);
  }
}

async function adviseHere(given) {
  const carry = carried();
  const covers = coveredToday(carry);
  if (!actingNow().grant || covers.length === 0) return calling(carry);
  const request = kernel.advice_asked(toKernel(asked(carry, given.pool)), toKernel(given), Date.now());
  const answer = fromKernel(kernel.advise(toKernel(carry.constants), request));
  if (answer.state !== "add") return { ...answer, saved: "here" };
  if (!covers.includes(EVERY_PRODUCT) && !covers.includes(answer.substance)) return calling(carry);
  const body = bodyOf(answer, fromKernel(request), given.pool);
  // Nobody else may be shown an amount between the question and the answer: it is on record first.
  const { entry } = await fact("advice-given", body, {}, () => Promise.reject(new ApiError("unreachable", "")));
  return { ...onThePage(answer), advice: entry, body, water: waterOf(given.pool), saved: "here" };
}

/** The substances that whoever is here may dose by hand, by the site's day. */
function coveredToday(carry) {
  const person = carry.people.find((one) => one.id === whoIsHere().person);
  if (!person || person.may["hand-dose"] === "no") return [];
  const today = Date.parse(`${isoDay(Date.now())}T00:00:00Z`) / DAY_MS;
  return person.hand_dosing
    .filter((one) => one.from <= today && (one.until === null || one.until >= today))
    .map((one) => one.substance);
}

/** Whom to call: nothing of an amount can be read from it. */
function calling(carry) {
  const known = carry.people.filter((one) => one.roles.some((role) => CALLED.includes(role)));
  return { state: "call", call: CALLED, people: known.map(({ name, phone, roles }) => ({ name, phone, roles })), saved: "here" };
}

function asked(carry, pool) {
  const rowOf = (id) => carry.pools.find((one) => one.pool === id);
  const own = rowOf(pool);
  const facts = fromKernel(factsOf(pool));
  return {
    base: own.advice,
    facts,
    case: own.context.case,
    pack: own.context.rules ? carry.packs[own.context.rules] : null,
    others: facts.mates.filter((id) => id !== pool).map((id) => ({ facts: fromKernel(factsOf(id)), case: rowOf(id).context.case })),
  };
}

/** What goes on record of an amount that is about to be shown. */
function bodyOf(answer, request, pool) {
  const circuit = pools().find((one) => one.pool === pool)?.circuit;
  return {
    pool,
    round: fromKernel(factsOf(pool)).last.id,
    product: answer.product,
    amount: String(answer.amount),
    unit: answer.unit,
    low: String(answer.low),
    high: String(answer.high),
    wait_minutes: Math.ceil(answer.wait_s / MINUTE_S),
    scope: request.volume.of,
    substance: answer.substance,
    purpose: answer.purpose,
    place: placeSentence(answer),
    why: whySentence(answer),
    questions: request.questions,
    targets: request.targets,
    borrowed: answer.borrowed.map(timed),
    predicted: answer.predicted,
    assumptions: answer.assumed.map((one) => `${one.id}: ${assumedSentence(one)}`),
    cautions: answer.cautions.map((one) => (typeof one === "string" ? one : one.id)),
    retest_points: answer.retest.points,
    ...(circuit && { circuit }),
    ...(answer.jug && { tool: answer.jug }),
  };
}

/** An answer of the kernel as pages get it from the server: times as text. */
function onThePage(answer) {
  return {
    ...answer,
    words: amountSentence(answer),
    borrowed: answer.borrowed.map(timed),
    retest: { ...answer.retest, not_before: stamp(answer.retest.not_before * 1000) },
  };
}

/** The last round of a pool as it stands: what an amount rests on. */
function waterOf(pool) {
  const { id, normal } = fromKernel(factsOf(pool)).last;
  return JSON.stringify([id, normal]);
}

const refused = (id, why, next) => new ApiError(id, `${told(why)} ${told(next)}`);

/** Refuse to begin an amount that no longer holds, as the server does: other water, or others in it. */
function holdToNow(pool, { advice, body, water }) {
  const carry = carried();
  const covers = coveredToday(carry);
  const covered = covers.includes(EVERY_PRODUCT) || covers.includes(body.substance);
  if (!actingNow().grant || !covered) throw new ApiError("not-kept-no-proof", "");
  const facts = factsOf(pool);
  const others = fromKernel(kernel.water_blocks(facts, Date.now())).filter((one) => one.about !== advice);
  const { oldest } = fromKernel(facts).last;
  const shown = { scope: body.scope, oldest, same_water: water === waterOf(pool) };
  const stale = kernel.no_longer_holds(toKernel(asked(carry, pool)), toKernel(shown), Date.now());
  const [stands] = [...others, ...fromKernel(stale)];
  if (stands) throw refused(stands.id, stands.why, stands.do);
}

const timed = (row) => ({ ...row, at: stamp(row.at * 1000) });

/**
 * Say "adding it now". An amount that the server showed is begun through the server: others may have added
 * something that this device has not heard of. One that was worked out here is begun here.
 * @param {string} pool @param {any} advice
 * @returns {Promise<{addition: string}>}
 */
export async function startAddition(pool, advice) {
  if (advice.saved !== "here") {
    const answer = await post("/additions/start", { pool, advice: advice.advice }, LATE_MS);
    await heed({ after: true });
    return answer;
  }
  holdToNow(pool, advice);
  const { product, amount, unit, wait_minutes, scope, circuit } = advice.body;
  const body = { pool, product, amount, unit, wait_minutes, scope, advice: advice.advice, ...(circuit && { circuit }) };
  const { entry } = await fact("addition-started", body, {}, () => Promise.reject(new ApiError("unreachable", "")));
  return { addition: entry };
}
