// Which screen belongs to a role, and the pages that open from it.

import { gauge, gaugePick } from "./gauge.js";
import { display } from "./display.js";
import { add, all, board, one, ruling } from "./people.js";
import { gaugePage, measure, ready, stop } from "./pit.js";
import { drawnBy, fill, go, press, standsAlready, view } from "./pressing.js";
import { pick, recorder, roundOf } from "./recorder.js";
import { alarm, decideProtest, referee, settle } from "./referee.js";
import { move, protest, replacement, right, takeBack, written } from "./right.js";
import { places, roundPage } from "./round.js";
import { wind } from "./wind.js";
import { say } from "./words.js";

/** @typedef {import("./shown.js").Page} Page */

/** @type {Record<import("./types.js").Role, Page>} */
const HOME = { recorder, second: recorder, gauge, referee, display };

/** @type {Partial<Record<string, Page>>} */
const PAGES = {
  all, one, add, board, ruling, pick, places, wind, written, right, move, replacement, protest, measure, ready, stop, settle, alarm,
  gauge: gaugePage, gauge_pick: gaugePick, round: roundPage, round_of: roundOf, take_back: takeBack, decide_protest: decideProtest,
}; // prettier-ignore

let role = "";

/** Somebody is writing there: what is typed must not go away. @param {HTMLElement} root */
function writing(root) {
  const lines = /** @type {NodeListOf<HTMLInputElement>} */ (root.querySelectorAll("input[type=text]"));
  return [...lines].some((line) => line.value || line === document.activeElement);
}

/** @param {import("./types.js").Role} of */
export function screenOf(of) {
  if (role !== of) go("");
  role = of;
  return (/** @type {HTMLElement} */ root, /** @type {import("./shown.js").Shown} */ shown, /** @type {import("./types.js").Context} */ context) => {
    drawnBy(context.redraw);
    if (standsAlready() && writing(root)) return;
    const page = PAGES[view.page];
    const inside = (page ?? HOME[of])({ shown, context });
    // Pages that open from another have one way back, always at the same place.
    const back = press(say("back_to_pit"), () => go(""), { key: "home", className: "phone-home" });
    if (inside.length) fill(root, page ? [back, ...inside] : inside);
  };
}
