/**
 * The one place where this browser keeps things for good: an IndexedDB whose every write is on disk
 * before anything is called saved.
 */

const NAME = "lanewater";
const VERSION = 1;
const LONGEST_OPENING_MS = 5_000;
const TRIED = "tried";

/** Stores by name: their key, and what they are looked up by beside it. */
const STORES = {
  device: {},
  facts: { keyPath: "id", indexes: ["open", "aside", "index", "made"] },
  signed: { keyPath: "sha256", indexes: ["id"] },
  chain: { keyPath: "dseq", indexes: ["sha256"] },
  state: {},
  carry: {},
  drafts: {},
  pins: { keyPath: "person" },
};

/** Something could not be kept here; `why` is insecure, blocked, full, no-key, no-proof or too-large. */
export class NotKept extends Error {
  /** @param {string} why @param {unknown} [cause] */
  constructor(why, cause) {
    super("", { cause });
    this.why = why;
    /** Under which the catalogue has words for it. */
    this.id = `not-kept-${why}`;
  }
}

/** @type {Promise<IDBDatabase> | null} */
let opened = null;

function base() {
  opened ??= open().catch((error) => {
    opened = null;
    throw error;
  });
  return opened;
}

function open() {
  return new Promise((resolve, reject) => {
    if (!globalThis.indexedDB) throw new NotKept("blocked");
    const late = setTimeout(() => reject(new NotKept("blocked")), LONGEST_OPENING_MS);
    const asked = indexedDB.open(NAME, VERSION);
    asked.onupgradeneeded = () => makeStores(asked.result);
    asked.onerror = () => {
      clearTimeout(late);
      reject(refusal(asked.error));
    };
    asked.onsuccess = () => {
      clearTimeout(late);
      const found = asked.result;
      found.onversionchange = () => found.close();
      found.onclose = () => {
        opened = null;
      };
      resolve(found);
    };
  });
}

function makeStores(found) {
  for (const [name, { keyPath, indexes = [] }] of Object.entries(STORES)) {
    if (found.objectStoreNames.contains(name)) continue;
    const store = found.createObjectStore(name, keyPath ? { keyPath } : undefined);
    for (const index of indexes) store.createIndex(index, index);
  }
}

/** Name a failure of the store by what a person can do about it. */
function refusal(error) {
  if (error instanceof NotKept) return error;
  return new NotKept(error?.name === "QuotaExceededError" ? "full" : "blocked", error);
}

/**
 * Do one thing in a transaction; it resolves once that is on disk, whole, or throws and nothing of it
 * stays.
 * @template T
 * @param {string[]} names the stores
 * @param {"readonly"|"readwrite"} mode
 * @param {(stores: Record<string, IDBObjectStore>) => T | Promise<T>} work may wait for `asked` only
 * @returns {Promise<T>}
 */
export async function inStores(names, mode, work) {
  const found = await base();
  let transaction;
  try {
    transaction = found.transaction(names, mode, { durability: "strict" });
  } catch (error) {
    opened = null;
    throw refusal(error);
  }
  return settled(transaction, names, work);
}

function settled(transaction, names, work) {
  return new Promise((resolve, reject) => {
    let answer;
    let failed = null;
    transaction.oncomplete = () => resolve(answer);
    transaction.onabort = () => reject(failed ?? refusal(transaction.error));
    const stores = Object.fromEntries(names.map((name) => [name, transaction.objectStore(name)]));
    Promise.resolve()
      .then(() => work(stores))
      .then((given) => {
        answer = given;
      })
      .catch((error) => {
        failed = error instanceof DOMException ? refusal(error) : error;
        abort(transaction);
      });
  });
}

function abort(transaction) {
  try {
    transaction.abort();
  } catch {
    // It has ended by itself.
  }
}

/** Wait for one request within a transaction. @template T @param {IDBRequest<T>} request @returns {Promise<T>} */
export function asked(request) {
  return new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
}

/** @param {string} key @returns {Promise<any>} */
export function readState(key) {
  return inStores(["state"], "readonly", ({ state }) => asked(state.get(key)));
}

/** @param {string} key @param {any} value */
export function writeState(key, value) {
  return inStores(["state"], "readwrite", ({ state }) => void state.put(value, key));
}

/**
 * Tell whether this browser can keep anything at all, by keeping something.
 * @returns {Promise<""|"insecure"|"blocked"|"full">}
 */
export async function canKeep() {
  if (!globalThis.isSecureContext || !globalThis.crypto?.subtle || !navigator.locks) return "insecure";
  try {
    await writeState(TRIED, Date.now());
    return "";
  } catch (error) {
    return error instanceof NotKept && error.why === "full" ? "full" : "blocked";
  }
}
