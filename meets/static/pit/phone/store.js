// The database of this phone: opened once, opened again once when the browser has lost it, closed for a newer version.

const NAME = "nearest-break-pit";
const VERSION = 1;
// A browser that has lost its database says so by one of these.
const LOST = new Set(["UnknownError", "InvalidStateError"]);

/**
 * @template T
 * @param {IDBRequest<T>} request
 * @returns {Promise<T>}
 */
export function result(request) {
  return new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
}

export class Store {
  /** Made anew when it was opened: there was none, or the browser has deleted it. */
  fresh = false;
  /** @type {Promise<IDBDatabase> | null} */
  #open = null;
  #newEpoch;

  /** @param {() => string} newEpoch  names the life of a database that has just been made */
  constructor(newEpoch) {
    this.#newEpoch = newEpoch;
  }

  /** @returns {Promise<IDBDatabase>} */
  #database() {
    this.#open ??= new Promise((resolve, reject) => {
      const asked = indexedDB.open(NAME, VERSION);
      asked.onupgradeneeded = () => {
        this.fresh = true;
        const meta = asked.result.createObjectStore("meta");
        const epoch = this.#newEpoch();
        meta.put(epoch, "epoch");
        meta.put({ epoch, device: "", seq: 0, upto: 0, server_epoch: "", begun: Date.now() }, `stream ${epoch}`);
        const entries = asked.result.createObjectStore("entries", { keyPath: "id" });
        entries.createIndex("stream", ["epoch", "seq"], { unique: true });
        entries.createIndex("waiting", ["waiting", "epoch", "seq"]);
        asked.result.createObjectStore("drafts");
        asked.result.createObjectStore("states");
      };
      asked.onsuccess = () => {
        const database = asked.result;
        database.onversionchange = () => this.#forget(database);
        database.onclose = () => this.#forget(database);
        resolve(database);
      };
      asked.onerror = () => reject(asked.error);
    });
    this.#open.catch(() => (this.#open = null));
    return this.#open;
  }

  /** @param {IDBDatabase} database */
  #forget(database) {
    database.close();
    this.#open = null;
  }

  /**
   * One transaction; resolves on its `complete` and not before, rejects when it was not stored.
   * @template T
   * @param {string[]} stores
   * @param {"read" | "relaxed" | "strict"} how  strict: on the disk before `complete`
   * @param {(tx: IDBTransaction) => Promise<T>} work
   * @returns {Promise<T>}
   */
  async run(stores, how, work) {
    try {
      return await this.#once(stores, how, work);
    } catch (problem) {
      if (!LOST.has(/** @type {Error} */ (problem)?.name)) throw problem;
      if (this.#open) await this.#open.then((database) => this.#forget(database), () => {});
      return this.#once(stores, how, work);
    }
  }

  /**
   * @template T
   * @param {string[]} stores
   * @param {"read" | "relaxed" | "strict"} how
   * @param {(tx: IDBTransaction) => Promise<T>} work
   * @returns {Promise<T>}
   */
  async #once(stores, how, work) {
    const database = await this.#database();
    return new Promise((resolve, reject) => {
      const mode = how === "read" ? "readonly" : "readwrite";
      const tx = database.transaction(stores, mode, { durability: how === "strict" ? "strict" : "relaxed" });
      /** @type {T} */
      let value;
      /** @type {unknown} */
      let why = null;
      tx.oncomplete = () => resolve(value);
      tx.onabort = () => reject(tx.error ?? why ?? new DOMException("not stored", "AbortError"));
      work(tx).then(
        (got) => (value = got),
        (problem) => {
          why = problem;
          try {
            tx.abort();
          } catch {
            // It has ended by itself.
          }
        },
      );
    });
  }
}
