/**
 * The test, step by step, for each kind of kit: one table. Every step is common practice; where a
 * kit's own card says otherwise the card is right, and the page says so. A step's words are
 * `guide.ID`, its drawing's `draw.DRAWING`.
 *
 * @typedef {object} Step
 * @property {string} id
 * @property {string} draw which drawing
 * @property {"sample"|"free"|"total"|"ph"|"end"} part of the test; free stands for bromine too
 * @property {"tablet"} [does] the key of the bench that belongs to it
 * @property {boolean} [stands] the wait that the kit's card asks for is said here
 */

const step = (part, id, draw, more = {}) => ({ part, id, draw, ...more });

const SAMPLE = [
  step("sample", "point", "bottom"),
  step("sample", "depth", "sample"),
  step("sample", "turn-up", "fillBelow"),
];
const TABLET = [
  step("free", "foil-free", "foil"),
  step("free", "crush", "crush"),
];
const SECOND = [
  step("total", "second", "second", { does: "tablet" }),
  step("total", "crush-second", "crush"),
];
const END = [step("end", "rinse-end", "rinse"), step("end", "dry", "dry")];

/** @type {Record<string, Step[]>} */
export const STEPS = {
  photometer: [
    ...SAMPLE,
    step("sample", "rinse", "rinse"),
    step("free", "fill", "fill"),
    step("free", "wipe", "wipe"),
    step("free", "front", "front"),
    step("free", "blank", "zero"),
    ...TABLET,
    step("free", "mix-wipe", "mix"),
    step("free", "read-free", "read"),
    ...SECOND,
    step("total", "stand", "stand", { stands: true }),
    step("total", "read-total", "read"),
    step("ph", "rinse-ph", "rinse"),
    step("ph", "blank-ph", "zero"),
    step("ph", "foil-ph", "foil"),
    step("ph", "crush-ph", "crush"),
    step("ph", "read-ph", "read"),
    ...END,
  ],
  comparator: [
    ...SAMPLE,
    step("sample", "rinse", "rinse"),
    step("free", "fill-two", "fillTwo"),
    step("free", "wipe-two", "wipe"),
    ...TABLET,
    step("free", "daylight", "daylight"),
    step("free", "match-free", "match"),
    ...SECOND,
    step("total", "stand", "stand", { stands: true }),
    step("total", "match-total", "match"),
    step("ph", "rinse-ph", "rinse"),
    step("ph", "foil-ph", "foil"),
    step("ph", "crush-ph", "crush"),
    step("ph", "match-ph", "match"),
    ...END,
  ],
  titration: [
    ...SAMPLE,
    step("sample", "rinse-flask", "rinse"),
    step("free", "measure", "measure"),
    step("free", "indicator", "swirl"),
    step("free", "drops", "drops"),
    step("free", "gone-free", "gone"),
    step("total", "second-drops", "swirl", { stands: true }),
    step("total", "count-on", "drops"),
    step("total", "gone-total", "gone"),
    step("ph", "ph-drops", "drops"),
    step("ph", "match-ph", "daylight"),
    step("end", "rinse-flask-end", "rinse"),
  ],
  strips: [
    ...SAMPLE,
    step("sample", "one-strip", "dated"),
    step("free", "dip", "dip"),
    step("free", "flat", "flat"),
    step("free", "compare-free", "compare"),
    step("total", "compare-total", "compare"),
    step("ph", "compare-ph", "compare"),
    step("end", "strip-end", "otherKit"),
  ],
};

const PARTS = {
  free_chlorine: "free",
  total_bromine: "free",
  total_chlorine: "total",
  ph: "ph",
};

/** The part of the test that a field belongs to, "sample" for any other. @param {string} [parameter] */
export function partOf(parameter = "") {
  return PARTS[parameter] ?? "sample";
}

/**
 * The steps for a kit that tests these parameters.
 * @param {string} kind of the kit; another kind than these has none
 * @param {string[]} parameters
 * @returns {Step[]}
 */
export function stepsFor(kind, parameters) {
  const wanted = ["sample", "end", ...parameters.map(partOf)];
  return (STEPS[kind] ?? []).filter((one) => wanted.includes(one.part));
}
