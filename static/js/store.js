// The tablet's database: IndexedDB "floor". Every store has keys of its own (out of line), every call is one
// transaction, and every promise settles only when that transaction is over. What cannot be opened, read or written
// rejects with a Trouble: one sentence, and `full` when the tablet's disk has no room.
//
// What lies where:  outbox    events not answered for yet, by id          photos   pictures not sent yet, by id
//                   answered  events the server has, by id                meta     small things, by name
//                   refused   events the server will never take, by id    pages, held, runs   what is kept to show
//
// Never await anything else inside a transaction: it would be over by then. `change()` is for what must read and
// write in one go.

const NAME = "floor";
const VERSION = 1;
const STORES = ["outbox", "answered", "refused", "photos", "meta", "pages", "held", "runs"];
const FULL = "The tablet's disk is full: delete something on it that is not Floor's.";
const OPENING_MS = 10000; // some browsers never answer when their database is broken

/** What went wrong with the tablet's store, as one sentence; `full`: the disk has no room. */
export class Trouble extends Error {
  constructor(sentence, cause) {
    super(sentence, { cause });
    this.full = isFull(cause);
  }
}

/** The value under a key; undefined when there is none. */
export const get = (store, key) => change([store], "readonly", (tx, give) => read(tx, store, "get", key, give));

/** All values of a store, in the order of their keys. */
export const all = (store) => change([store], "readonly", (tx, give) => read(tx, store, "getAll", null, give));

/** All keys of a store, in order. */
export const keys = (store) => change([store], "readonly", (tx, give) => read(tx, store, "getAllKeys", null, give));

/** At most `count` values whose keys come after `after` (null: from the first), with their keys: [[key, value]]. */
export const some = (store, after, count) =>
  change([store], "readonly", (tx, give) => {
    const range = after === null ? null : IDBKeyRange.lowerBound(after, true);
    const found = tx.objectStore(store).getAllKeys(range, count);
    const values = tx.objectStore(store).getAll(range, count); // answers after the keys
    values.onsuccess = () => give(values.result.map((value, at) => [found.result[at], value]));
  });

export const put = (store, key, value, options) => many([{ store, key, value }], options);
export const del = (store, key, options) => many([{ store, key }], options);

/** All of the writes or none: [{store, key, value}], without a value the key is deleted. `strict`: resolves only when
 *  the disk has them. */
export async function many(writes, { strict = false } = {}) {
  if (writes.length === 0) return undefined;
  const names = [...new Set(writes.map(({ store }) => store))];
  return change(
    names,
    "readwrite",
    (tx) => {
      for (const { store, key, value } of writes) {
        if (value === undefined) tx.objectStore(store).delete(key);
        else tx.objectStore(store).put(value, key);
      }
    },
    strict,
  );
}

/** One transaction over some stores. `work(tx, give)` asks its requests at once or from their own callbacks, and
 *  gives what the promise resolves to. */
export async function change(names, mode, work, strict = false) {
  const database = connection ?? (await open());
  return new Promise((resolve, reject) => {
    let given;
    const wrong = (cause) => reject(new Trouble(sentence(cause), cause));
    try {
      const tx = database.transaction(names, mode, { durability: strict ? "strict" : "default" });
      tx.oncomplete = () => resolve(given);
      tx.onabort = () => wrong(tx.error);
      work(tx, (value) => (given = value));
    } catch (cause) {
      if (cause.name === "InvalidStateError") connection = opening = null; // closed under us: the next call opens anew
      wrong(cause);
    }
  });
}

let connection = null;
let opening = null;

function open() {
  opening ??= openOnce().catch((failure) => {
    opening = null; // the next call tries again
    throw failure;
  });
  return opening;
}

function openOnce() {
  return new Promise((resolve, reject) => {
    const wrong = (cause) => reject(new Trouble(isFull(cause) ? FULL : `This browser gives Floor no store of its own: ${why(cause)}.`, cause));
    const timer = setTimeout(() => wrong(new Error("it does not answer")), OPENING_MS);
    try {
      const request = indexedDB.open(NAME, VERSION);
      request.onupgradeneeded = () => {
        const there = request.result.objectStoreNames;
        for (const name of STORES) if (!there.contains(name)) request.result.createObjectStore(name);
      };
      request.onblocked = () => wrong(new Error("an older page of Floor is still open in another tab; close it"));
      request.onerror = () => wrong(request.error);
      request.onsuccess = () => {
        clearTimeout(timer);
        resolve(kept(request.result));
      };
    } catch (cause) {
      wrong(cause); // there is no indexedDB at all
    }
  });
}

function kept(database) {
  connection = database;
  const forget = () => (connection = opening = null);
  database.onclose = forget;
  database.onversionchange = () => {
    forget();
    database.close();
  };
  return database;
}

function read(tx, store, method, key, give) {
  const request = key === null ? tx.objectStore(store)[method]() : tx.objectStore(store)[method](key);
  request.onsuccess = () => give(request.result);
}

const isFull = (cause) => cause?.name === "QuotaExceededError";
const why = (cause) => (cause?.message || "it does not say why").replace(/\.$/, "");

function sentence(cause) {
  return isFull(cause) ? FULL : `The tablet's store failed: ${why(cause)}.`;
}
