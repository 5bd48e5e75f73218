// A wind that is owed, or that was written wrongly.

import { keypad, windOf, windShown } from "./keypad.js";
import { turnOf } from "./overlay.js";
import { store } from "./people.js";
import { box, go, press, view } from "./pressing.js";
import { reasonPicker } from "./trial.js";
import { who } from "./up.js";
import { say } from "./words.js";

/** @type {import("./shown.js").Page} */
export function wind({ shown, context }) {
  const { turn, event, old, digits = "", sign = "", tenths } = view.of;
  const { entry, round, replacement } = turnOf(turn);
  const set = (/** @type {object} */ change) => {
    Object.assign(view.of, change);
    context.redraw();
  };
  const put = (/** @type {number | null} */ value, reason = "") =>
    store(context, [{ event, kind: "wind_read", values: { entry, round, ...(replacement && { replacement }), tenths: value }, supersedes: old, reason }]);
  const next = (/** @type {number | null} */ value) => go("wind", { ...view.of, tenths: value });
  const head = [box("h1", "", say("what_wind")), box("p", "phone-line-up", who(shown, entry))];
  if (tenths !== undefined) {
    const read = box("div", "pit-read", [box("p", "pit-figures", tenths === null ? say("nwi") : windShown(tenths))]);
    const end = old.length ? reasonPicker(["why_misheard", "why_sign", "why_wrong_bib"], (reason) => put(tenths, reason)) : press(say("confirm"), () => put(tenths), { key: "enter", className: "big main confirm", first: true });
    return [...head, read, end];
  }
  const value = windOf(digits, sign);
  const shownAs = digits ? windShown(windOf(digits, sign || "+") ?? 0).replace("+", sign) : "";
  const more = [box("div", "pit-named", [press("0.0", () => next(0)), press(say("no_reading"), () => next(null))])];
  return [...head, keypad({ digits, most: 3, shown: shownAs, set: (d) => set({ digits: d }), done: () => value !== null && next(value), sign, turn: (s) => set({ sign: s }), more })];
}
