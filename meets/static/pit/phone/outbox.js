// What officials have saved on this phone. Nothing here is ever changed; what the server has stays, until long after
// the meet. "Saved" means on the disk: the transaction is complete, and the browser has flushed it.

import { canonical, newId, sha256 } from "./canonical.js";
import { Journal } from "./journal.js";
import { Store, result } from "./store.js";

/** @typedef {import("./types.js").Draft} Draft */
/** @typedef {import("./types.js").Entry} Entry */
/** @typedef {import("./types.js").Kept} Kept */
/** @typedef {import("./types.js").Joined} Joined */
/** @typedef {import("./types.js").Stream} Stream */

const HINT = "nearest-break-given";
const CHANNEL = "nearest-break-pit";
const SHELLS = "nearest-break-shell ";
const KEEP_MS = 30 * 24 * 60 * 60 * 1000;
const OFFSET_STEP_MS = 500;

/** It is on no disk: write it on paper. */
export class NotSaved extends Error {
  /** @param {unknown} why */
  constructor(why) {
    super(why instanceof Error ? `${why.name}: ${why.message}` : String(why));
    this.name = "NotSaved";
    this.full = why instanceof Error && why.name === "QuotaExceededError";
  }
}

/**
 * @param {string} app  the version of these scripts, as written into each entry
 * @returns {Promise<Outbox>}
 */
export async function openOutbox(app) {
  const outbox = new Outbox(app);
  await outbox.load();
  return outbox;
}

export class Outbox {
  #store = new Store(newId);
  #journal = new Journal();
  #channel = new BroadcastChannel(CHANNEL);
  /** @type {Set<() => void>} */
  #listeners = new Set();
  /** @type {Map<string, Kept>} */
  #kept = new Map();
  /** @type {Stream[]} */
  #streams = [];
  /** @type {Joined | null} */
  #joined = null;
  #epoch = "";
  #offset = 0;
  #life = 0;
  /** @type {Promise<void> | null} */
  #refilling = null;

  /** @param {string} app */
  constructor(app) {
    this.app = app;
    this.#channel.onmessage = () => void this.load().catch(() => null); // (what is in memory holds)
  }

  /** Read everything again: at the start, and when another tab has changed something. */
  async load() {
    const [entries, keys, values] = await this.#run(["entries", "meta"], "read", (tx) => {
      const meta = tx.objectStore("meta");
      const all = tx.objectStore("entries").index("stream").getAll();
      return Promise.all([result(all), result(meta.getAllKeys()), result(meta.getAll())]);
    });
    const meta = new Map(keys.map((key, i) => [String(key), values[i]]));
    this.#streams = values.filter((value) => value?.epoch).sort((a, b) => a.begun - b.begun);
    this.#joined = meta.get(`device ${meta.get("joined")}`) ?? null;
    this.#epoch = meta.get("epoch");
    this.#offset = meta.get("offset") ?? 0;
    const order = new Map(this.#streams.map((stream, i) => [stream.epoch, i]));
    entries.sort((a, b) => (order.get(a.epoch) ?? 0) - (order.get(b.epoch) ?? 0) || a.seq - b.seq);
    this.#kept = new Map(entries.map((/** @type {Kept} */ kept) => [kept.id, kept]));
    this.#tell();
  }

  /**
   * A transaction; when the browser has made the database anew, what is known of the old one is put back first.
   * @template T
   * @param {string[]} stores
   * @param {"read" | "relaxed" | "strict"} how
   * @param {(tx: IDBTransaction) => Promise<T>} work  may run twice
   * @returns {Promise<T>}
   */
  async #run(stores, how, work) {
    const life = this.#life;
    const gone = () => this.#store.fresh || this.#refilling || life !== this.#life;
    try {
      const value = await this.#store.run(stores, how, work).catch(async (problem) => {
        // (for the copy of a state no other is given up)
        if (problem?.name !== "QuotaExceededError" || stores.includes("states")) throw problem;
        await this.#makeRoom();
        return this.#store.run(stores, how, work);
      });
      if (!gone()) return value;
    } catch (problem) {
      if (!gone()) throw problem;
    }
    if (this.#store.fresh) this.#refilling ??= this.#refill().finally(() => (this.#refilling = null));
    await this.#refilling;
    return this.#store.run(stores, how, work);
  }

  /** Into a new database: entries and who we are, from memory and the second copy, as they were; and what is lost. */
  async #refill() {
    this.#store.fresh = false;
    this.#life += 1;
    /** @type {Map<string, Entry>} */
    const entries = new Map();
    for (const line of await this.#journal.read()) {
      if (line.entry) entries.set(line.entry.id, line.entry);
      if (line.joined) this.#joined ??= line.joined;
    }
    for (const { entry } of this.#kept.values()) entries.set(entry.id, entry);
    const hint = read(HINT);
    const given = Math.max(hint?.total ?? 0, entries.size);
    await this.#store.run(["meta", "entries"], "strict", async (tx) => {
      const meta = tx.objectStore("meta");
      /** @type {Map<string, Stream>} */
      const streams = new Map();
      if (hint) streams.set(hint.epoch, newStream(hint.epoch, hint.device, hint.seq));
      for (const entry of entries.values()) {
        const { id, epoch, seq, device } = entry;
        const stream = streams.get(epoch) ?? newStream(epoch, device, seq);
        stream.seq = Math.max(stream.seq, seq);
        streams.set(epoch, stream);
        tx.objectStore("entries").put({ id, epoch, seq, waiting: 1, entry, status: "", says: "", again: true });
      }
      for (const stream of streams.values()) meta.put(stream, `stream ${stream.epoch}`);
      if (given) meta.put({ phone: hint?.phone ?? 0, given, back: entries.size }, "lost");
      if (!this.#joined) return;
      meta.put(this.#joined, `device ${this.#joined.device}`);
      meta.put(this.#joined.device, "joined");
      const epoch = await result(meta.get("epoch"));
      meta.put(newStream(epoch, this.#joined.device, 0), `stream ${epoch}`);
    });
  }

  /** Tell who listens, and the other tabs. */
  #changed() {
    this.#channel.postMessage("changed");
    this.#tell();
  }

  #tell() {
    for (const listener of this.#listeners) listener();
  }

  /**
   * @param {() => void} listener  called after every change, also by another tab
   * @returns {() => void}  stops it
   */
  onChange(listener) {
    this.#listeners.add(listener);
    return () => this.#listeners.delete(listener);
  }

  /**
   * Save an entry. Resolves when it is on the disk; rejects with NotSaved when it is not.
   * @param {Draft} draft
   * @param {string} [clears]  the draft that ends with it, in the same transaction
   * @returns {Promise<Entry>}
   */
  async save(draft, clears) {
    const id = newId();
    const work = (/** @type {IDBTransaction} */ tx) => this.#add(tx, id, draft, clears);
    /** @type {Kept} */
    let kept;
    try {
      kept = await this.#run(["meta", "entries", "drafts"], "strict", work);
    } catch (problem) {
      throw new NotSaved(problem);
    }
    this.#kept.set(kept.id, kept);
    const stream = this.stream(kept.epoch);
    if (stream) stream.seq = Math.max(stream.seq, kept.seq);
    void this.#journal.append([{ entry: kept.entry }]);
    const { epoch, seq, entry } = kept;
    const phone = this.#joined?.number ?? 0;
    write(HINT, { epoch, device: entry.device, seq, phone, total: this.#kept.size });
    this.#changed();
    return kept.entry;
  }

  /**
   * @param {IDBTransaction} tx
   * @param {string} id
   * @param {Draft} draft
   * @param {string | undefined} clears
   * @returns {Promise<Kept>}
   */
  async #add(tx, id, draft, clears) {
    const [meta, entries] = [tx.objectStore("meta"), tx.objectStore("entries")];
    // After the browser lost its database: what had been stored by the first attempt is not stored twice.
    const before = await result(entries.get(id));
    if (before) return before;
    const epoch = await result(meta.get("epoch"));
    const [stream, device] = await Promise.all([
      result(meta.get(`stream ${epoch}`)),
      result(meta.get("joined")),
    ]);
    const joined = await result(meta.get(`device ${device}`));
    if (!joined) throw new Error("this phone has not been let in");
    stream.seq += 1;
    /** @type {Omit<Entry, "hash">} */
    const said = {
      v: 1, id, device, epoch, seq: stream.seq,
      meet: joined.meet.id, session: draft.session, event: draft.event, role: draft.role,
      kind: draft.kind, values: draft.values, supersedes: draft.supersedes ?? [], reason: tidy(draft.reason ?? ""),
      official: joined.official, wall: Date.now(), offset: this.#offset, app: this.app,
      ...(draft.named && { named: draft.named }),
    }; // prettier-ignore
    const text = canonical(said);
    const entry = { ...JSON.parse(text), hash: sha256(text) };
    /** @type {Kept} */
    const kept = { id, epoch, seq: stream.seq, waiting: 1, entry, status: "", says: "", again: false };
    meta.put(stream, `stream ${epoch}`);
    entries.add(kept);
    if (clears) tx.objectStore("drafts").delete(clears);
    return kept;
  }

  /** The store is full: give back what can be fetched again. */
  async #makeRoom() {
    if ("caches" in globalThis) {
      const names = await caches.keys();
      await Promise.all(names.filter((name) => name !== SHELLS + this.app).map((name) => caches.delete(name)));
    }
    await this.#store.run(["states"], "relaxed", async (tx) => void tx.objectStore("states").clear()).catch(() => null);
  }

  /**
   * Entries that the server has not, of one stream, by number.
   * @param {number} limit
   * @param {Set<string>} [besides]  ids to leave out
   * @returns {Promise<Kept[]>}
   */
  async unsent(limit, besides = new Set()) {
    const waiting = await this.#run(["entries"], "read", (tx) => {
      const range = IDBKeyRange.bound([1], [2]);
      return result(tx.objectStore("entries").index("waiting").getAll(range, limit + besides.size));
    });
    const found = waiting.filter((kept) => !besides.has(kept.id)).slice(0, limit);
    return found.filter((kept) => kept.epoch === found[0].epoch);
  }

  /** Every entry of this phone, in the order they were saved. @returns {Kept[]} */
  all() {
    return [...this.#kept.values()];
  }

  /** @returns {import("./types.js").Counts} */
  counts() {
    const counts = { waiting: 0, sent: 0, review: 0, apart: 0 };
    for (const { waiting, status } of this.#kept.values()) {
      counts[waiting ? "waiting" : "sent"] += 1;
      if (status === "needs_review") counts.review += 1;
      if (status === "quarantined") counts.apart += 1;
    }
    return counts;
  }

  /** @returns {Stream[]} */
  streams() {
    return this.#streams;
  }

  /** @param {string} epoch @returns {Stream | undefined} */
  stream(epoch = this.#epoch) {
    return this.#streams.find((stream) => stream.epoch === epoch);
  }

  /**
   * Take in what the server has said of a stream. Nothing is deleted. When it has less than it had, or another life of
   * it answers, everything above what it has is sent again.
   * @param {import("./types.js").Result[]} results
   * @param {import("./types.js").Have} have
   * @param {string} serverEpoch
   * @param {string} [epoch]
   */
  async markAnswered(results, have, serverEpoch, epoch = this.#epoch) {
    const known = this.stream(epoch);
    const same = known && known.server_epoch === serverEpoch && known.upto === have.upto;
    if (same && !results.length && !have.holes.length) return;
    const { upto, holes } = have;
    const changed = await this.#run(["meta", "entries"], "relaxed", async (tx) => {
      const [meta, entries] = [tx.objectStore("meta"), tx.objectStore("entries")];
      /** @type {Stream | undefined} */
      const before = await result(meta.get(`stream ${epoch}`));
      if (!before) return null;
      const stream = { ...before, upto, server_epoch: serverEpoch };
      const again = before.server_epoch !== serverEpoch || upto < before.upto;
      /** @type {Kept[]} */
      const above = await result(entries.index("stream").getAll(IDBKeyRange.bound([epoch, upto + 1], [epoch, Infinity])));
      const inHole = (/** @type {number} */ seq) => holes.some(([from, to]) => from <= seq && seq <= to);
      // What the server has set aside may never fill its number: a hole there is no reason to send it once more.
      const gone = above.filter((kept) => !kept.waiting && (again || (inHole(kept.seq) && kept.status !== "quarantined")));
      /** @type {Map<string, Kept>} */
      const after = new Map(gone.map((kept) => [kept.id, { ...kept, waiting: 1 }]));
      for (const { id, status, says = "" } of results) {
        const kept = await result(entries.get(id));
        if (kept) after.set(id, { ...kept, waiting: 0, status, says });
      }
      for (const kept of after.values()) entries.put(kept);
      meta.put(stream, `stream ${epoch}`);
      // The server holds numbers that this database never gave: it is a copy of an older one. Begin another stream.
      if (upto > stream.seq) beginStream(meta, stream.device);
      return { after, stream };
    });
    if (!changed) return;
    const { after, stream } = changed;
    for (const [id, kept] of after) this.#kept.set(id, kept);
    this.#streams = this.#streams.map((one) => (one.epoch === epoch ? { ...stream, seq: Math.max(stream.seq, one.seq) } : one));
    if (upto > stream.seq) await this.load();
    this.#changed();
  }

  /** Who this phone is, once it has been let in. @returns {Joined | null} */
  device() {
    return this.#joined;
  }

  /**
   * The phone has been let in, for the first time or again. The queue stays; numbers go on only for the same device.
   * @param {Joined} joined
   */
  async setDevice(joined) {
    await this.#run(["meta"], "strict", async (tx) => {
      const meta = tx.objectStore("meta");
      const stream = await result(meta.get(`stream ${await result(meta.get("epoch"))}`));
      meta.put(joined, `device ${joined.device}`);
      meta.put(joined.device, "joined");
      meta.delete("key");
      if (stream.device && stream.device !== joined.device) beginStream(meta, joined.device);
      else meta.put({ ...stream, device: joined.device }, `stream ${stream.epoch}`);
    });
    void this.#journal.append([{ joined }]);
    await this.load();
    this.#changed();
  }

  /** @param {string} official  who writes from now on */
  async setOfficial(official) {
    if (this.#joined) await this.setDevice({ ...this.#joined, official: tidy(official) });
  }

  /** The token with which entries of a device may be brought. @param {string} device */
  async tokenOf(device) {
    const joined = await this.#run(["meta"], "read", (tx) => result(tx.objectStore("meta").get(`device ${device}`)));
    return joined?.token ?? this.#joined?.token ?? "";
  }

  /** The server's clock minus ours, ms. */
  get offset() {
    return this.#offset;
  }

  /** @param {number} offset */
  async setOffset(offset) {
    const rounded = Math.round(offset);
    if (Math.abs(rounded - this.#offset) < OFFSET_STEP_MS) return;
    this.#offset = rounded;
    await this.setMeta("offset", rounded);
  }

  /** Small things to remember: the key not used yet, where we were, the row of who sends. @param {string} key */
  getMeta(key) {
    return this.#run(["meta"], "read", (tx) => result(tx.objectStore("meta").get(key)));
  }

  /** @param {string} key @param {unknown} value  undefined: forget it */
  setMeta(key, value) {
    return this.#put("meta", key, () => value);
  }

  /**
   * Change a value in one transaction; says whether it was changed.
   * @param {string} key
   * @param {(before: any) => unknown} change  undefined: leave it as it is
   */
  changeMeta(key, change) {
    return this.#run(["meta"], "relaxed", async (tx) => {
      const after = change(await result(tx.objectStore("meta").get(key)));
      if (after !== undefined) tx.objectStore("meta").put(after, key);
      return after !== undefined;
    });
  }

  /** @param {string} key */
  getDraft(key) {
    return this.#run(["drafts"], "read", (tx) => result(tx.objectStore("drafts").get(key)));
  }

  /** @param {string} key @param {unknown} value  undefined: forget it */
  setDraft(key, value) {
    return this.#put("drafts", key, () => value);
  }

  /** The last state of a session that the server gave. @param {string} key */
  getState(key) {
    return this.#run(["states"], "read", (tx) => result(tx.objectStore("states").get(key)));
  }

  /** @param {string} key @param {unknown} state */
  setState(key, state) {
    return this.#put("states", key, () => state);
  }

  /**
   * @param {string} store
   * @param {string} key
   * @param {() => unknown} value
   */
  async #put(store, key, value) {
    await this.#run([store], "relaxed", async (tx) => {
      if (value() === undefined) tx.objectStore(store).delete(key);
      else tx.objectStore(store).put(value(), key);
    });
  }

  /**
   * Delete what the server has had for 30 days, of meets that are over. By the server's clock: ours may be wrong.
   * @param {Set<number>} over  meets whose events are all closed
   * @param {number} now  as the server says
   */
  async tidyUp(over, now) {
    const old = this.all().filter(
      ({ waiting, entry }) => !waiting && over.has(entry.meet) && entry.wall + entry.offset < now - KEEP_MS,
    );
    if (!old.length) return;
    await this.#run(["entries"], "relaxed", async (tx) => {
      for (const { id } of old) tx.objectStore("entries").delete(id);
    });
    await this.load();
    if (!this.#kept.size) await this.#journal.clear();
  }

  /** Everything as a file that the desk can take in. @returns {string} */
  exportText() {
    return JSON.stringify({ v: 1, app: this.app, entries: this.all().map((kept) => kept.entry) });
  }
}

/**
 * @param {string} epoch
 * @param {string} device
 * @param {number} seq
 */
function newStream(epoch, device, seq) {
  return { epoch, device, seq, upto: 0, server_epoch: "", begun: Date.now() };
}

/** @param {IDBObjectStore} meta @param {string} device */
function beginStream(meta, device) {
  const epoch = newId();
  meta.put(epoch, "epoch");
  meta.put(newStream(epoch, device, 0), `stream ${epoch}`);
}

/** On one line, without what no database keeps. @param {string} text */
export function tidy(text) {
  return text.replace(/[\p{Cc}\p{Cs}\s]+/gu, " ").trim();
}

// localStorage may lag behind, so that it is no copy; it tells how much there was.

/** @param {string} key */
function read(key) {
  try {
    return JSON.parse(localStorage.getItem(key) ?? "null");
  } catch {
    return null;
  }
}

/** @param {string} key @param {unknown} value */
function write(key, value) {
  try {
    localStorage.setItem(key, JSON.stringify(value));
  } catch {
    // Only a hint.
  }
}
