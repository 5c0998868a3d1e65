/**
 * What Python does and JavaScript does not: the run-time of the translated kernel.
 *
 * A missing key, an index out of range, None or text in arithmetic or in a comparison, division
 * by zero, a logarithm of nothing, an overflow: each throws here what CPython raises, by the same
 * name. A dict is a Map, a list or a tuple an Array (a constant tuple a frozen one), None is null.
 * JavaScript has one kind of number; docs/reference/kernel-subset.md says what that means.
 */

const LARGEST = Number.MAX_SAFE_INTEGER;
const PAIRED = /[\ud800-\udfff]/;

/** An error of the kernel; its name is that of Python's. */
export class KernelError extends Error {
  constructor(name, message) {
    super(message);
    this.name = name;
  }
}

/** Make the error that the kernel raises. */
export function error(name, message) {
  return new KernelError(name, message);
}

/** What a value is called in a message. */
function kind(value) {
  if (value === null) return "None";
  if (Array.isArray(value)) return "a list";
  if (value instanceof Map) return "a dict";
  return { string: "text", number: "a number", boolean: "a bool" }[typeof value] ?? "nothing";
}

/** The error of an operation that a value cannot take part in. */
function unfit(what, ...values) {
  if (values.includes(undefined)) return error("UnboundLocalError", `${what}: a name is not set`);
  return error("TypeError", `${what} of ${values.map(kind).join(" and ")}`);
}

/** Stands where an argument was not handed in. */
export function missing(name) {
  throw error("TypeError", `the argument ${name} is missing`);
}

// --- Numbers ---------------------------------------------------------------------------------

/** A number, or a bool as one. */
function number(value, what) {
  if (typeof value === "number") return value;
  if (typeof value === "boolean") return Number(value);
  throw unfit(what, value);
}

/** Two numbers that are not both plain ones, or none. */
function both(a, b, what) {
  if (typeof a === "object" || typeof b === "object") throw unfit(what, a, b);
  if (typeof a === "string" || typeof b === "string") throw unfit(what, a, b);
  return [number(a, what), number(b, what)];
}

/** A result where whole numbers decide: exact, or an error. */
function bounded(value) {
  if (value > LARGEST || value < -LARGEST) throw error("OverflowError", "beyond 2**53");
  return value;
}

export function add(a, b) {
  if (typeof a === "number" && typeof b === "number") return a + b;
  if (typeof a === "string" && typeof b === "string") return a + b;
  const [x, y] = both(a, b, "sum");
  return x + y;
}

export function sub(a, b) {
  if (typeof a === "number" && typeof b === "number") return a - b;
  const [x, y] = both(a, b, "difference");
  return x - y;
}

export function mul(a, b) {
  if (typeof a === "number" && typeof b === "number") return a * b;
  const [x, y] = both(a, b, "product");
  return x * y;
}

export function add53(a, b) {
  const sum = add(a, b);
  return typeof sum === "string" ? sum : bounded(sum);
}

export function sub53(a, b) {
  return bounded(sub(a, b));
}

export function mul53(a, b) {
  return bounded(mul(a, b));
}

export function div(a, b) {
  if (typeof a === "number" && typeof b === "number" && b !== 0) return a / b;
  const [x, y] = both(a, b, "quotient");
  if (y === 0) throw error("ZeroDivisionError", "division by zero");
  return x / y;
}

/** The rest that goes with a quotient rounded down; it has the sign of the divisor. */
export function mod(a, b) {
  const [x, y] = both(a, b, "rest");
  if (y === 0) throw error("ZeroDivisionError", "rest of a division by zero");
  const rest = x % y;
  return rest !== 0 && rest < 0 !== y < 0 ? rest + y : rest;
}

/** The quotient rounded down. */
export function floordiv(a, b) {
  const [x, y] = both(a, b, "quotient");
  if (y === 0) throw error("ZeroDivisionError", "division by zero");
  if (Number.isSafeInteger(x) && Number.isSafeInteger(y)) return Math.floor(x / y);
  const quotient = (x - mod(x, y)) / y;
  const whole = Math.floor(quotient);
  return quotient - whole > 0.5 ? whole + 1 : whole;
}

/** A power with a whole exponent of zero or more. */
export function pow(a, b) {
  const [x, y] = both(a, b, "power");
  let result = 1;
  for (let turn = 0; turn < y; turn += 1) result *= x;
  if (Math.abs(result) === Infinity && Math.abs(x) !== Infinity) {
    throw error("OverflowError", "power");
  }
  return result;
}

export function pow53(a, b) {
  return bounded(pow(a, b));
}

export function neg(a) {
  return -number(a, "minus");
}

export function abs(a) {
  return Math.abs(number(a, "abs"));
}

export function exp(a) {
  const x = number(a, "exp");
  const result = Math.exp(x);
  if (result === Infinity && x !== Infinity) throw error("OverflowError", "math range error");
  return result;
}

/** A number that has a logarithm. */
function positive(a) {
  const x = number(a, "log");
  if (x <= 0) throw error("ValueError", "logarithm of zero or less");
  return x;
}

export function log(a) {
  return Math.log(positive(a));
}

export function log10(a) {
  return Math.log10(positive(a));
}

export function sqrt(a) {
  const x = number(a, "sqrt");
  if (x < 0) throw error("ValueError", "root of a negative number");
  return Math.sqrt(x);
}

export function floor(a) {
  const x = number(a, "floor");
  if (Number.isNaN(x)) throw error("ValueError", "floor of what is no number");
  return bounded(Math.floor(x));
}

export function isfinite(a) {
  return Number.isFinite(number(a, "isfinite"));
}

/** A whole number, for range. */
export function whole(a) {
  const x = number(a, "range");
  if (!Number.isInteger(x)) throw error("TypeError", "range of a number that is not whole");
  return x;
}

// --- Comparing -------------------------------------------------------------------------------

/** A bool, and nothing that could be taken for one. */
export function truth(value) {
  if (value === true || value === false) return value;
  throw unfit("truth", value);
}

export function eq(a, b) {
  if (typeof a === "string" && typeof b === "string") return a === b;
  if (typeof a === "number" && typeof b === "number") return a === b;
  if (a === undefined || b === undefined) throw unfit("==", a, b);
  if (a === null || b === null) return a === b;
  if (typeof a === "object" || typeof b === "object") {
    if (typeof a === typeof b) throw unfit("==", a, b);
    return false;
  }
  if (typeof a === "string" || typeof b === "string") return a === b;
  return Number(a) === Number(b);
}

/** Below zero, zero or above it as a text stands before, at or behind another by code point. */
function byCodePoint(a, b) {
  if (!PAIRED.test(a) && !PAIRED.test(b)) return a < b ? -1 : Number(a > b);
  const [left, right] = [Array.from(a), Array.from(b)];
  for (let place = 0; place < left.length && place < right.length; place += 1) {
    const apart = left[place].codePointAt(0) - right[place].codePointAt(0);
    if (apart !== 0) return apart;
  }
  return left.length - right.length;
}

export function lt(a, b) {
  if (typeof a === "number" && typeof b === "number") return a < b;
  if (typeof a === "string" && typeof b === "string") return byCodePoint(a, b) < 0;
  const [x, y] = both(a, b, "<");
  return x < y;
}

export function le(a, b) {
  if (typeof a === "number" && typeof b === "number") return a <= b;
  if (typeof a === "string" && typeof b === "string") return byCodePoint(a, b) <= 0;
  const [x, y] = both(a, b, "<=");
  return x <= y;
}

export function gt(a, b) {
  if (typeof a === "number" && typeof b === "number") return a > b;
  return lt(b, a);
}

export function ge(a, b) {
  if (typeof a === "number" && typeof b === "number") return a >= b;
  return le(b, a);
}

export function min(first, ...others) {
  let least = first;
  for (const other of others) if (lt(other, least)) least = other;
  return least;
}

export function max(first, ...others) {
  let most = first;
  for (const other of others) if (gt(other, most)) most = other;
  return most;
}

/** A list that has something in it. */
function filled(values, what) {
  if (!Array.isArray(values)) throw unfit(what, values);
  if (values.length === 0) throw error("ValueError", `${what} of an empty list`);
  return values;
}

export function min_of(values) {
  return min(...filled(values, "min"));
}

export function max_of(values) {
  return max(...filled(values, "max"));
}

export function sorted(values) {
  if (!Array.isArray(values)) throw unfit("sorted", values);
  if (values.some((value) => value !== value)) throw error("ValueError", "sorted: not a number");
  return [...values].sort((a, b) => (lt(a, b) ? -1 : Number(lt(b, a))));
}

// --- Lists, tuples, dicts, texts -------------------------------------------------------------

/** What may be a key; 1 and True are the same one. */
function key(value) {
  if (typeof value === "string") return value;
  if (typeof value === "number" || value === null) return value;
  if (typeof value === "boolean") return Number(value);
  throw unfit("a key", value);
}

/** Where an index leads in a row of some length. */
function place(index, length) {
  const at = number(index, "an index");
  if (!Number.isInteger(at)) throw error("TypeError", "an index that is not whole");
  const found = at < 0 ? at + length : at;
  if (found < 0 || found >= length) throw error("IndexError", "index out of range");
  return found;
}

/** The last text in which every character is one code unit: texts are walked one by one. */
let plain = "";

/** The characters of a text: code points, as in Python. */
function characters(text) {
  if (text === plain) return text;
  if (PAIRED.test(text)) return Array.from(text);
  plain = text;
  return text;
}

export function item(held, index) {
  if (Array.isArray(held)) {
    const found = held[index];
    if (typeof index === "number" && found !== undefined) return found;
    return held[place(index, held.length)];
  }
  if (typeof held === "string") {
    const text = characters(held);
    return text[place(index, text.length)];
  }
  if (!(held instanceof Map)) throw unfit("an item", held);
  const found = held.get(key(index));
  if (found === undefined) throw error("KeyError", String(index));
  return found;
}

export function store(value, held, index) {
  if (value === undefined) throw unfit("storing", value);
  if (held instanceof Map) {
    held.set(key(index), value);
  } else if (Array.isArray(held) && !Object.isFrozen(held)) {
    held[place(index, held.length)] = value;
  } else {
    throw unfit("storing into an item", held);
  }
}

/** A dict, to be asked by get. */
export function mapping(held) {
  if (held instanceof Map) return held;
  if (held === undefined) throw unfit("get", held);
  throw error("AttributeError", `get of ${kind(held)}`);
}

export function get(held, index, otherwise = null) {
  const found = held.get(key(index));
  return found === undefined ? otherwise : found;
}

/** A list, to be appended to. */
export function growing(held) {
  if (Array.isArray(held) && !Object.isFrozen(held)) return held;
  if (held === undefined) throw unfit("append", held);
  throw error("AttributeError", `append to ${kind(held)}`);
}

/** A dict of keys and values in turn, in their order. */
export function dict(...turns) {
  const held = new Map();
  for (let at = 0; at < turns.length; at += 2) held.set(key(turns[at]), turns[at + 1]);
  return held;
}

/** A constant row. */
export function fixed(values) {
  return Object.freeze(values);
}

export function len(held) {
  if (Array.isArray(held)) return held.length;
  if (held instanceof Map) return held.size;
  if (typeof held === "string") return characters(held).length;
  throw unfit("len", held);
}

export function has(value, held) {
  if (held instanceof Map) return held.has(key(value));
  if (Array.isArray(held)) {
    for (let at = 0; at < held.length; at += 1) {
      if (value === held[at] || eq(value, held[at])) return true;
    }
    return false;
  }
  if (typeof held === "string" && typeof value === "string") return held.includes(value);
  throw unfit("in", value, held);
}

/** The entries of a dict, refused as soon as it grows or shrinks meanwhile. */
function* steady(held, entries) {
  const size = held.size;
  for (const entry of entries) {
    yield entry;
    if (held.size !== size) throw error("RuntimeError", "the dict changed while walked through");
  }
}

export function each(held) {
  if (Array.isArray(held) || typeof held === "string") return held;
  if (held instanceof Map) return steady(held, held.keys());
  throw unfit("a walk", held);
}

export function pairs(held) {
  if (held instanceof Map) return steady(held, held.entries());
  if (held === undefined) throw unfit("items", held);
  throw error("AttributeError", `items of ${kind(held)}`);
}

export function unpack(held, wanted) {
  if (!Array.isArray(held)) throw unfit("unpacking", held);
  if (held.length !== wanted) {
    throw error("ValueError", `${held.length} items where ${wanted} are unpacked`);
  }
  return held;
}

// --- The boundary ----------------------------------------------------------------------------

/** JSON to what the kernel takes: objects become Maps. */
export function toKernel(value) {
  if (Array.isArray(value)) return value.map(toKernel);
  if (value === null || typeof value === "string" || typeof value === "boolean") return value;
  if (typeof value === "number" && Number.isFinite(value)) return value;
  const plain = value !== undefined && Object.getPrototypeOf(value) === Object.prototype;
  if (!plain) throw error("TypeError", "the kernel takes JSON and nothing else");
  return new Map(Object.entries(value).map(([index, held]) => [index, toKernel(held)]));
}

/** What the kernel gives, to JSON: Maps become objects. */
export function fromKernel(value) {
  if (Array.isArray(value)) return value.map(fromKernel);
  if (value instanceof Map) {
    if ([...value.keys()].some((index) => typeof index !== "string")) {
      throw error("TypeError", "JSON has only texts as keys");
    }
    return Object.fromEntries([...value].map(([index, held]) => [index, fromKernel(held)]));
  }
  if (value === undefined) throw unfit("the answer", value);
  if (typeof value === "number" && !Number.isFinite(value)) {
    throw error("ValueError", "JSON has no such number");
  }
  return value === 0 ? 0 : value;
}
