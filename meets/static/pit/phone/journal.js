// The second copy of what was saved, for the day the browser deletes the first. Missing where the browser has no such
// files (without HTTPS): then every line is refused, which harms nothing.

const PATIENCE_MS = 3000;

export class Journal {
  /** @type {Worker | null} */
  #worker = null;
  /** @type {Map<number, { resolve: (value: any) => void, reject: (problem: Error) => void }>} */
  #asked = new Map();
  #n = 0;

  constructor() {
    if (!navigator.storage?.getDirectory) return;
    this.#worker = new Worker(new URL("journal_worker.js", import.meta.url), { type: "module" });
    this.#worker.onmessage = ({ data }) => {
      const asked = this.#asked.get(data.n);
      this.#asked.delete(data.n);
      if ("problem" in data) asked?.reject(new Error(data.problem));
      else asked?.resolve(data.value);
    };
    this.#worker.onerror = () => {
      this.#worker = null;
      for (const { reject } of this.#asked.values()) reject(new Error("no journal"));
      this.#asked.clear();
    };
  }

  /**
   * @param {string} what
   * @param {string} [text]
   * @returns {Promise<any>}
   */
  #ask(what, text = "") {
    return new Promise((resolve, reject) => {
      if (!this.#worker) return reject(new Error("no journal"));
      const n = ++this.#n;
      this.#asked.set(n, { resolve, reject });
      this.#worker.postMessage({ n, what, text });
      setTimeout(() => this.#asked.delete(n) && reject(new Error("the journal does not answer")), PATIENCE_MS);
    });
  }

  /**
   * Put lines behind the last one, on the disk when it resolves.
   * @param {object[]} lines
   * @returns {Promise<boolean>}  whether there is a second copy of them
   */
  append(lines) {
    const text = lines.map((line) => `${JSON.stringify(line)}\n`).join("");
    return this.#ask("append", text).then(
      () => true,
      () => false,
    );
  }

  /**
   * Every line that can be read, of all tabs.
   * @returns {Promise<Record<string, any>[]>}
   */
  async read() {
    const text = await this.#ask("read").catch(() => "");
    return text.split("\n").flatMap((/** @type {string} */ line) => {
      try {
        return line ? [JSON.parse(line)] : [];
      } catch {
        return []; // (cut off by a crash)
      }
    });
  }

  /** @returns {Promise<unknown>} */
  clear() {
    return this.#ask("clear").catch(() => null);
  }
}
