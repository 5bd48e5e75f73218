// Digits as they are typed: 543 shows 5.43. Only the point is set here; what a mark may mean stands in the state.

import { box, press } from "./pressing.js";
import { say } from "./words.js";

const INCHES = 12;
const QUARTERS = 4;

/** @param {string} unit */
export const mostDigits = (unit) => (unit === "cm" ? 4 : 6);

/** Digits with their point. @param {string} digits @param {string} unit */
export function pointed(digits, unit) {
  if (!digits) return "";
  if (unit !== "cm") return [digits.slice(0, 2), digits.slice(2, 4) && `-${digits.slice(2, 4)}`, digits.slice(4) && `.${digits.slice(4)}`].join("");
  const padded = digits.padStart(3, "0");
  return `${padded.slice(0, -2)}.${padded.slice(-2)}`;
}

/** The mark in the meet's unit, or null while the digits are none. @param {string} digits @param {string} unit */
export function markOf(digits, unit) {
  if (unit === "cm") return digits.length < 3 || !Number(digits) ? null : Number(digits);
  const [feet, inches, hundredths] = [digits.slice(0, 2), digits.slice(2, 4), digits.slice(4)].map(Number);
  const quarters = (hundredths * QUARTERS) / 100;
  return digits.length < mostDigits(unit) || inches >= INCHES || !Number.isInteger(quarters) ? null : (feet * INCHES + inches) * QUARTERS + quarters;
}

/** A mark as it is read. @param {number} mark @param {string} unit */
export function markShown(mark, unit) {
  if (unit === "cm") return pointed(String(mark), unit);
  const [inches, quarters] = [Math.floor(mark / QUARTERS), mark % QUARTERS];
  const two = (/** @type {number} */ n) => String(n).padStart(2, "0");
  return `${Math.floor(inches / INCHES)}-${two(inches % INCHES)}.${two((quarters * 100) / QUARTERS)}`;
}

/** Tenths, or hundredths, with their sign. @param {number} value @param {number} [decimals] */
export function windShown(value, decimals = 1) {
  return `${value < 0 ? "−" : value ? "+" : ""}${(Math.abs(value) / 10 ** decimals).toFixed(decimals)}`;
}

/**
 * @typedef {object} Typing
 * @property {string} digits
 * @property {number} most
 * @property {string} shown
 * @property {(digits: string) => void} set
 * @property {() => void} done
 * @property {string} [sign]
 * @property {(sign: string) => void} [turn]  there is a sign to press
 * @property {Node[]} [more]  below the digits
 */

/** @param {Typing} typing */
export function keypad({ digits, most, shown, set, done, sign, turn, more = [] }) {
  const digit = (/** @type {string} */ d) => press(d, () => digits.length < most && set(digits + d), { key: d });
  const typed = box("output", "pit-typed", shown);
  const signs = (/** @type {string} */ key, /** @type {string} */ face, /** @type {string} */ words) =>
    press(face, () => turn?.(key), { key, small: say(words), pressed: sign === key, label: say(words) });
  return box("div", "phone-pad", [
    turn ? box("div", "pit-signs", [signs("+", "+", "tail_wind"), typed, signs("-", "−", "head_wind")]) : typed,
    box("div", "pit-keys", [
      ..."123456789".split("").map(digit),
      press("⌫", () => set(digits.slice(0, -1)), { key: "backspace", label: say("rub_out") }),
      digit("0"),
      press(say("ok"), done, { key: "enter", className: "main" }),
    ]),
    ...more,
  ]);
}

/** A wind as typed, in tenths or hundredths; null while it is not said. @param {string} digits @param {string} sign */
export function windOf(digits, sign) {
  if (!digits || (Number(digits) && !sign)) return null;
  return Number(digits) * (sign === "-" && Number(digits) ? -1 : 1);
}
