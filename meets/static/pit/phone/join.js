// Coming in: the code that was scanned, a name, and where several are possible the pit and the role.

import { part, put } from "./part.js";
import { say } from "./words.js";
import { tidy } from "./outbox.js";

/** @typedef {import("./types.js").Joined} Joined */

const TIMEOUT_MS = 8000;

/**
 * The secret of the code that opened this page. It goes out of the address, so that nobody copies it from there.
 * @returns {string}
 */
export function takeKey() {
  const key = keyIn(location.hash);
  if (key) history.replaceState(null, "", location.pathname);
  return key;
}

/** @param {string} text  an address with a code, or the code @returns {string} */
function keyIn(text) {
  return /(?:^|#k=|&k=)([\w-]{16,})$/.exec(text.trim())?.[1] ?? "";
}

/** As keyboards of phones write it: with a capital, or spaces between. @param {string} text */
const typed = (text) => text.replace(/\s/g, "").toLowerCase();

/**
 * Ask for a name and come in; resolves when the server has let the phone in, or with null when it is to stay as it is.
 * @param {HTMLElement} root
 * @param {{ key: string, official: string, app: string, base?: string }} known  key "": the code is asked for as well
 * @param {boolean} mayStay  the phone is let in already
 * @returns {Promise<Joined | null>}
 */
export function comeIn(root, { key, official, app, base = "/sync/v1/" }, mayStay) {
  return new Promise((resolve) => {
    const name = part("input", { id: "official", value: official, maxLength: 80, autocomplete: "name", required: true });
    const code = part("input", { id: "code", autocomplete: "off", autocapitalize: "off", spellcheck: false, required: true });
    const wrong = part("p", { className: "alarm", hidden: true, role: "alert" });
    const button = part("button", { type: "submit", className: "main big" }, say("come_in"));
    const stay = part("button", { type: "button" }, say("back"));
    stay.addEventListener("click", () => resolve(null));
    const form = part("form", { className: "pit-form" }, [
      part("label", { htmlFor: "official" }, say("your_name")),
      name,
      ...(key ? [] : [part("label", { htmlFor: "code" }, say("code_typed")), code]),
      wrong,
      button,
      ...(mayStay ? [stay] : []),
    ]);
    form.addEventListener("submit", async (event) => {
      event.preventDefault();
      if (button.disabled) return;
      button.disabled = true;
      const answer = await ask(base, { key: key || keyIn(typed(code.value)), official: tidy(name.value), app_version: app });
      button.disabled = false;
      if (typeof answer !== "string") return resolve(answer);
      wrong.textContent = answer;
      wrong.hidden = false;
    });
    put(root, [part("h1", {}, say("who_writes")), ...(key ? [] : [part("p", {}, say("scan_code"))]), form]);
    name.focus();
  });
}

/**
 * @param {string} base
 * @param {{ key: string, official: string, app_version: string }} body
 * @returns {Promise<Joined | string>}  a sentence for the person when it did not work
 */
async function ask(base, body) {
  if (!body.official) return say("name_missing");
  if (!body.key) return say("no_code");
  try {
    const headers = { "Content-Type": "application/json" };
    const signal = AbortSignal.timeout(TIMEOUT_MS);
    const answer = await fetch(`${base}join`, { method: "POST", headers, body: JSON.stringify(body), signal });
    const said = await answer.json();
    if (answer.status === 201 && said.device && said.token) return said;
    if (answer.headers.get("Content-Type")?.startsWith("application/problem+json") && said.detail) return said.detail;
  } catch {
    // Nothing came, or nothing of ours.
  }
  return say("not_reached");
}

/**
 * One of several, by large buttons; at once when there is only one.
 * @template T
 * @param {HTMLElement} root
 * @param {string} heading
 * @param {T[]} options
 * @param {(option: T) => string} words
 * @returns {Promise<T>}
 */
export function choose(root, heading, options, words) {
  if (options.length === 1) return Promise.resolve(options[0]);
  return new Promise((resolve) => {
    const buttons = options.map((option) => {
      const button = part("button", { type: "button", className: "big" }, words(option));
      button.addEventListener("click", () => resolve(option));
      return button;
    });
    put(root, [part("h1", {}, heading), part("div", { className: "phone-choose" }, buttons)]);
    buttons[0]?.focus();
  });
}
