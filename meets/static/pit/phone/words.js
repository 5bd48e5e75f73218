// The sentences of the page, in the language that the server wrote it in.

/** @type {Record<string, string> | null} */
let words = null;

/**
 * A sentence with its {placeholders} filled in.
 * @param {string} key
 * @param {Record<string, string | number>} [values]
 * @returns {string}
 */
export function say(key, values = {}) {
  words ??= JSON.parse(document.getElementById("words")?.textContent ?? "{}");
  const sentence = /** @type {Record<string, string>} */ (words)[key];
  if (sentence === undefined) throw new Error(`no words for "${key}"`);
  return fill(sentence, values);
}

/**
 * @param {string} sentence
 * @param {Record<string, string | number>} values
 */
export function fill(sentence, values) {
  return sentence.replace(/\{(\w+)\}/g, (whole, name) => String(values[name] ?? whole));
}
