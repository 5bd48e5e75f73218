// Brings what was saved to the server and the state of the session to the phone, whenever there is a way. Only an answer
// that names our entries counts; everything else that may come over a bad network is no answer.

import { newId } from "./canonical.js";
import { alone } from "./lock.js";

/** @typedef {import("./outbox.js").Outbox} Outbox */
/** @typedef {import("./types.js").Kept} Kept */
/** @typedef {import("./types.js").PhoneState} PhoneState */
/** @typedef {import("./types.js").Status} Status */

const MOST_ENTRIES = 50;
const MOST_BYTES = 64 * 1024;
const FRAME_BYTES = 512; // What stands around the entries of a batch.
const TIMEOUT_MS = 8000;
const LOOK_TIMEOUT_MS = 5000;
const FIRST_WAIT_MS = 1000;
const LONGEST_WAIT_MS = 30_000;
const CONTACT_MS = 15_000;
const LOOK_MS = 2500;
const DISPLAY_LOOK_MS = 1000;
const ASIDE_MS = 60_000;
const PROBLEM = "application/problem+json";
const [LOCKED_OUT, NOT_FOUND] = [401, 404];
const UNREADABLE = [400, 413, 422];

/** Not an answer; `status` 0 when nothing came that was meant for us. */
class NoAnswer extends Error {
  /** @param {number} status @param {number} [waitMs] */
  constructor(status, waitMs = 0) {
    super(`no answer (${status})`);
    this.status = status;
    this.waitMs = waitMs;
  }
}

/**
 * @param {Outbox} outbox
 * @param {{ onState: (state: PhoneState, fresh: boolean) => void, onStatus: (status: Status) => void, base?: string }} to
 * @returns {Sync}
 */
export function startSync(outbox, to) {
  return new Sync(outbox, to);
}

class Sync {
  #tab = newId();
  #outbox;
  #to;
  #base;
  /** @type {import("./types.js").Link} */
  #link = "";
  #sending = false;
  #again = false;
  #failed = 0;
  #most = MOST_ENTRIES;
  #answered = 0;
  /** @type {Map<string, number>} entries that the server cannot take, and when each is tried again */
  #aside = new Map();
  #sendTimer = 0;
  #lookTimer = 0;
  #looking = false;
  /** @type {{ session: number, role: string, key: string } | null} */
  #watched = null;
  /** @type {string | null} */
  #version = null;
  /** What the last contact said of the watched session: another text, something has changed. */
  #told = "";
  #now = 0;

  /**
   * @param {Outbox} outbox
   * @param {{ onState: (state: PhoneState, fresh: boolean) => void, onStatus: (status: Status) => void, base?: string }} to
   */
  constructor(outbox, to) {
    this.#outbox = outbox;
    this.#to = to;
    this.#base = to.base ?? "/sync/v1/";
    outbox.onChange(() => this.#tell());
    addEventListener("online", () => this.wake());
    document.addEventListener("visibilitychange", () => document.hidden || this.wake());
    setInterval(() => void this.#contact(), CONTACT_MS);
    this.wake();
  }

  /** Something was saved: send it now. */
  kick() {
    void this.#send();
  }

  /**
   * Keep the state of a session coming, for a role. What was known last is shown at once.
   * @param {number} session
   * @param {string} role
   */
  async watch(session, role) {
    const key = `${session} ${role}`;
    this.#watched = { session, role, key };
    this.#version = null;
    const known = await this.#outbox.getState(key).catch(() => null);
    if (known && this.#watched?.key === key && !this.#version) {
      this.#version = known.version;
      this.#to.onState(known, false);
    }
    void this.#look();
  }

  /** Nothing is watched any more. */
  unwatch() {
    this.#watched = null;
  }

  /**
   * Show the trial clock on other screens. When it does not get through it is old news, and dropped.
   * @param {number} session
   * @param {{ turn: string, started: number | null, seconds: number }} clock
   */
  setClock(session, clock) {
    this.#ask(`clock/${session}`, { method: "PUT", body: JSON.stringify(clock) }, LOOK_TIMEOUT_MS).catch(() => null);
  }

  /** @returns {Status} */
  status() {
    const mode = isSecureContext ? "https" : "http";
    return { link: this.#link, mode, stuck: this.#aside.size, offset: this.#outbox.offset, ...this.#outbox.counts() };
  }

  /** The server's clock when it was last heard, ms; 0 before. */
  get heard() {
    return this.#now;
  }

  #tell() {
    this.#to.onStatus(this.status());
  }

  /** @param {import("./types.js").Link} link */
  #setLink(link) {
    if (link === this.#link) return;
    this.#link = link;
    this.#tell();
  }

  /** There may be a way again: try everything now. */
  wake() {
    this.#failed = 0;
    void this.#contact();
    void this.#send();
    void this.#look();
  }

  /**
   * @param {string} path
   * @param {RequestInit} options
   * @param {number} timeoutMs
   * @param {string} [token]
   */
  async #ask(path, options, timeoutMs, token = this.#outbox.device()?.token) {
    const headers = { ...options.headers, Authorization: `Bearer ${token}` };
    if (options.body) Object.assign(headers, { "Content-Type": "application/json" });
    const fixed = /** @type {const} */ ({ cache: "no-store", redirect: "error" });
    const signal = AbortSignal.timeout(timeoutMs);
    return fetch(this.#base + path, { ...options, ...fixed, headers, signal });
  }

  /**
   * What our server says; throws NoAnswer for anything else.
   * @param {string} path
   * @param {object} body
   * @param {string} [token]
   * @returns {Promise<any>}
   */
  async #post(path, body, token) {
    const began = performance.now();
    let answer;
    let said;
    try {
      answer = await this.#ask(path, { method: "POST", body: JSON.stringify(body) }, TIMEOUT_MS, token);
      said = await answer.json();
    } catch {
      throw new NoAnswer(0);
    }
    const type = answer.headers.get("Content-Type") ?? "";
    if (answer.status !== 200) {
      const wait = Number(answer.headers.get("Retry-After")) * 1000 || 0;
      throw new NoAnswer(type.startsWith(PROBLEM) ? answer.status : 0, Math.min(wait, LONGEST_WAIT_MS));
    }
    if (!type.startsWith("application/json") || !isId(said?.server_epoch) || !isHave(said?.have)) throw new NoAnswer(0);
    this.#heard(said.now, (performance.now() - began) / 2);
    return said;
  }

  /**
   * In the name of the phone that the entries are from; when that one is locked out, as the phone that this is now.
   * @param {string} path
   * @param {{ device: string, [more: string]: unknown }} body
   */
  async #postFor(path, body) {
    const [own, current] = [await this.#outbox.tokenOf(body.device), this.#outbox.device()?.token];
    return this.#post(path, body, own).catch((problem) => {
      if (problem.status !== LOCKED_OUT || own === current) throw problem;
      return this.#post(path, body, current);
    });
  }

  /** @param {unknown} now @param {number} ago */
  #heard(now, ago) {
    if (!Number.isSafeInteger(now)) return;
    this.#now = Number(now);
    void this.#outbox.setOffset(this.#now + ago - Date.now()).catch(() => null);
  }

  // Sending

  async #send() {
    if (this.#sending) {
      this.#again = true;
      return;
    }
    clearTimeout(this.#sendTimer);
    if (!this.#outbox.device()) return;
    this.#sending = true;
    try {
      do {
        this.#again = false;
        const done = await alone(this.#outbox, this.#tab, (still) => this.#drain(still));
        if (!done) this.#later(FIRST_WAIT_MS);
      } while (this.#again);
    } catch (problem) {
      this.#unanswered(problem);
    } finally {
      this.#sending = false;
    }
  }

  /** @param {() => Promise<boolean>} still */
  async #drain(still) {
    for (;;) {
      for (const [id, until] of this.#aside) if (until < performance.now()) this.#aside.delete(id);
      const kept = await this.#outbox.unsent(this.#most, new Set(this.#aside.keys()));
      if (!kept.length) {
        if (this.#aside.size) this.#later(ASIDE_MS);
        return;
      }
      if (!(await still())) return this.#later(FIRST_WAIT_MS);
      const batch = fitting(kept);
      try {
        await this.#push(batch);
      } catch (problem) {
        if (!this.#untaken(problem, batch)) throw problem;
        continue;
      }
      this.#most = MOST_ENTRIES;
      void this.#look();
    }
  }

  /**
   * Too much, or something in it that the server cannot read: smaller, until the one is found, which then waits aside.
   * So do those of a phone that the server does not know: they must not stand in the way of the others.
   * @param {unknown} problem
   * @param {Kept[]} batch
   */
  #untaken(problem, batch) {
    const status = problem instanceof NoAnswer ? problem.status : 0;
    const foreign = batch[0].epoch !== this.#outbox.stream()?.epoch && [LOCKED_OUT, NOT_FOUND].includes(status);
    if (!foreign && !UNREADABLE.includes(status)) return false;
    this.#most = Math.ceil(batch.length / 2);
    if (foreign || batch.length === 1) {
      for (const { id } of batch) this.#aside.set(id, performance.now() + ASIDE_MS);
      this.#tell();
    }
    return true;
  }

  /** @param {Kept[]} batch */
  async #push(batch) {
    const { device, epoch } = batch[0].entry;
    const stream = this.#outbox.stream(epoch);
    const said = await this.#postFor("push", {
      device,
      epoch,
      max_seq: Math.max(stream?.seq ?? 0, ...batch.map((kept) => kept.seq)),
      server_epoch: stream?.server_epoch || null,
      entries: batch.map((kept) => kept.entry),
    });
    const sent = new Set(batch.map((kept) => kept.id));
    /** @type {import("./types.js").Result[]} */
    const results = Array.isArray(said.results) ? said.results.filter((/** @type {any} */ one) => sent.has(one?.id)) : [];
    if (new Set(results.map((one) => one.id)).size !== sent.size) throw new NoAnswer(0);
    this.#failed = 0;
    this.#answered += 1;
    this.#setLink("ok");
    await this.#outbox.markAnswered(results, said.have, said.server_epoch, epoch);
  }

  /** @param {unknown} problem */
  #unanswered(problem) {
    this.#missed(problem);
    const wait = Math.min(FIRST_WAIT_MS * 2 ** this.#failed++, LONGEST_WAIT_MS) * (0.5 + Math.random() / 2);
    this.#later(Math.max(wait, problem instanceof NoAnswer ? problem.waitMs : 0));
  }

  /** @param {unknown} problem */
  #missed(problem) {
    this.#setLink(problem instanceof NoAnswer && problem.status === LOCKED_OUT ? "let out" : "out of reach");
  }

  /** @param {number} ms */
  #later(ms) {
    clearTimeout(this.#sendTimer);
    this.#sendTimer = setTimeout(() => void this.#send(), ms);
  }

  /** Something of ours came through: if the queue was waiting for that, it waits no longer. */
  #reached() {
    const was = this.#link;
    this.#setLink("ok");
    if (was === "out of reach" && this.#outbox.counts().waiting) {
      this.#failed = 0;
      void this.#send();
    }
  }

  // Contact: how many there are, so that a missing one is noticed; and what the server still has

  async #contact() {
    const joined = this.#outbox.device();
    if (!joined) return;
    const { waiting } = this.#outbox.counts();
    try {
      for (const { device, epoch, seq, server_epoch } of [...this.#outbox.streams()]) {
        const own = device === joined.device;
        if (!device || (!seq && !own)) continue;
        const [asked, numbers] = [this.#answered, { device, epoch, max_seq: this.#outbox.stream(epoch)?.seq ?? seq }];
        const said = own
          ? await this.#post("contact", {
              ...numbers,
              unsent: waiting,
              clock_off_ms: this.#outbox.offset,
              app_version: this.#outbox.app,
              official: joined.official,
            })
          : await this.#postFor("push", { ...numbers, server_epoch: server_epoch || null, entries: [] }).catch(() => null);
        // What was answered in the meantime is newer than what this one says.
        if (said && asked === this.#answered) {
          await this.#outbox.markAnswered([], said.have, said.server_epoch, epoch);
        }
        const version = said?.versions?.[String(this.#watched?.session)];
        if (version && version !== this.#told) void this.#look();
        this.#told = version ?? this.#told;
      }
      this.#reached();
      if (this.#outbox.counts().waiting > waiting) void this.#send();
    } catch (problem) {
      this.#missed(problem);
    }
  }

  // Looking: the state of the session, asked for again and again while somebody sees it

  async #look() {
    if (this.#looking) return;
    clearTimeout(this.#lookTimer);
    const watched = this.#watched;
    if (watched && this.#outbox.device()) {
      this.#looking = true;
      await this.#fetchState(watched).catch((problem) => this.#missed(problem));
      this.#looking = false;
      if (this.#watched !== watched) return void this.#look();
    }
    if (document.hidden) return;
    this.#lookTimer = setTimeout(() => void this.#look(), watched?.role === "display" ? DISPLAY_LOOK_MS : LOOK_MS);
  }

  /** @param {{ session: number, role: string, key: string }} watched */
  async #fetchState({ session, role, key }) {
    const headers = /** @type {Record<string, string>} */ (this.#version ? { "If-None-Match": `"${this.#version}"` } : {});
    const answer = await this.#ask(`state/${session}?role=${role}`, { headers }, LOOK_TIMEOUT_MS);
    if (answer.status === 304 && this.#version) return this.#reached();
    const type = answer.headers.get("Content-Type") ?? "";
    if (answer.status !== 200) throw new NoAnswer(type.startsWith(PROBLEM) ? answer.status : 0);
    const state = await answer.json();
    if (!type.startsWith("application/json") || state?.v !== 1 || state.session?.id !== session) throw new NoAnswer(0);
    if (this.#watched?.key !== key) return;
    this.#heard(state.now, 0);
    this.#version = state.version;
    this.#reached();
    this.#to.onState(state, true);
    await this.#outbox.setState(key, state).catch(() => null); // (a full store: it is only for the next start)
    const known = this.#outbox.stream()?.server_epoch;
    if (known && known !== state.server_epoch) void this.#contact();
  }
}

/**
 * The first of them that fit into one request.
 * @param {Kept[]} kept
 */
function fitting(kept) {
  const size = new TextEncoder();
  let bytes = FRAME_BYTES;
  const at = kept.findIndex(({ entry }) => (bytes += size.encode(JSON.stringify(entry)).length + 1) > MOST_BYTES);
  return at < 0 ? kept : kept.slice(0, Math.max(at, 1));
}

/** @param {unknown} text */
function isId(text) {
  return typeof text === "string" && /^[0-9a-f-]{36}$/.test(text);
}

/** @param {any} have */
function isHave(have) {
  return Number.isSafeInteger(have?.upto) && Array.isArray(have.holes) && have.holes.every(Array.isArray);
}
