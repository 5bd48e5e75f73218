// The one text that an entry has, and the hash of it. No crypto.subtle: that is missing without HTTPS and would not
// answer within a transaction of the store.

const K = Uint32Array.from(
  ("428a2f9871374491b5c0fbcfe9b5dba53956c25b59f111f1923f82a4ab1c5ed5d807aa9812835b01243185be550c7dc372be5d7480deb1fe" +
    "9bdc06a7c19bf174e49b69c1efbe47860fc19dc6240ca1cc2de92c6f4a7484aa5cb0a9dc76f988da983e5152a831c66db00327c8bf597fc7" +
    "c6e00bf3d5a7914706ca63511429296727b70a852e1b21384d2c6dfc53380d13650a7354766a0abb81c2c92e92722c85a2bfe8a1a81a664b" +
    "c24b8b70c76c51a3d192e819d6990624f40e3585106aa07019a4c1161e376c082748774c34b0bcb5391c0cb34ed8aa4a5b9cca4f682e6ff3" +
    "748f82ee78a5636f84c878148cc7020890befffaa4506cebbef9a3f7c67178f2").match(/.{8}/g) ?? [],
  (hex) => parseInt(hex, 16),
);
const START = [0x6a09e667, 0xbb67ae85, 0x3c6ef372, 0xa54ff53a, 0x510e527f, 0x9b05688c, 0x1f83d9ab, 0x5be0cd19];
const BLOCK = 64;
const LAST_SHIFT = 10;

/**
 * JSON with sorted keys and no blanks; what is undefined is left out.
 * @param {unknown} value
 * @returns {string}
 */
export function canonical(value) {
  if (Array.isArray(value)) return `[${value.map(canonical).join(",")}]`;
  if (value === null || typeof value !== "object") {
    if (typeof value === "number" && !Number.isSafeInteger(value)) throw new TypeError(`${value} is no whole number`);
    return JSON.stringify(value);
  }
  const object = /** @type {Record<string, unknown>} */ (value);
  const keys = Object.keys(object).filter((key) => object[key] !== undefined).sort();
  return `{${keys.map((key) => `${JSON.stringify(key)}:${canonical(object[key])}`).join(",")}}`;
}

/**
 * SHA-256 of a text in UTF-8 (FIPS 180-4), in hexadecimal digits.
 * @param {string} text
 * @returns {string}
 */
export function sha256(text) {
  const bytes = new TextEncoder().encode(text);
  const padded = new DataView(new ArrayBuffer(Math.ceil((bytes.length + 9) / BLOCK) * BLOCK));
  new Uint8Array(padded.buffer).set(bytes);
  padded.setUint8(bytes.length, 0x80);
  padded.setUint32(padded.byteLength - 4, bytes.length * 8);
  const hash = Uint32Array.from(START);
  const w = new Uint32Array(BLOCK);
  /** @param {number} x @param {number} n */
  const turned = (x, n) => (x >>> n) | (x << (32 - n));
  for (let at = 0; at < padded.byteLength; at += BLOCK) {
    let [a, b, c, d, e, f, g, h] = hash;
    for (let i = 0; i < BLOCK; i++) {
      if (i >> 4) {
        const [x, y] = [w[i - 15], w[i - 2]];
        const s0 = turned(x, 7) ^ turned(x, 18) ^ (x >>> 3);
        w[i] = w[i - 16] + s0 + w[i - 7] + (turned(y, 17) ^ turned(y, 19) ^ (y >>> LAST_SHIFT));
      } else w[i] = padded.getUint32(at + i * 4);
      const one = h + (turned(e, 6) ^ turned(e, 11) ^ turned(e, 25)) + ((e & f) ^ (~e & g)) + K[i] + w[i];
      const two = (turned(a, 2) ^ turned(a, 13) ^ turned(a, 22)) + ((a & b) ^ (a & c) ^ (b & c));
      [h, g, f, e, d, c, b, a] = [g, f, e, (d + one) | 0, c, b, a, (one + two) | 0];
    }
    [a, b, c, d, e, f, g, h].forEach((x, i) => (hash[i] += x));
  }
  return Array.from(hash, (x) => x.toString(16).padStart(8, "0")).join("");
}

/**
 * A random id (UUID, version 4); crypto.randomUUID is missing without HTTPS.
 * @returns {string}
 */
export function newId() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})/, "$1-$2-$3-$4-");
}
