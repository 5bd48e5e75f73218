// What is said of the pit itself: stop, go on, boards measured, sand signed off, no gauge.

import { keypad, markShown, pointed } from "./keypad.js";
import { store } from "./people.js";
import { box, go, press, view } from "./pressing.js";
import { say } from "./words.js";

/** @typedef {import("./shown.js").Shown} Shown */
/** @typedef {import("./types.js").Context} Context */

const CHECKS = ["check_sand", "check_rakes", "check_runway", "check_tape"];

/** The same row for every event of the session that is not over. */
export const forAll = (/** @type {Shown} */ shown, /** @type {string} */ kind, values = {}, reason = "") =>
  shown.events.filter((event) => !event.over).map(({ id }) => ({ event: id, kind, values, reason }));

/** @type {import("./shown.js").Page} */
export function stop({ shown, context }) {
  const put = () => store(context, forAll(shown, "suspended", { safety: true }, say("stop_reason")));
  return [box("h1", "", say("stop")), box("p", "", say("stop_means")), press(say("stop_now"), put, { className: "big pit-stop-now", first: true })];
}

let typed = "";

/** Line to sand edge, for each board. @type {import("./shown.js").Page} */
export function measure({ shown, context }) {
  const due = (shown.due ?? []).filter((/** @type {any} */ one) => one.kind === "measure").map((/** @type {any} */ one) => one.board_cm);
  const boards = [...new Map(shown.events.flatMap((event) => event.boards).map((one) => [one.cm, one])).values()];
  const { cm, asked } = view.of ?? {};
  if (!cm) {
    const choose = (/** @type {{ cm: number, shown: string }} */ one) =>
      press(one.shown, () => ((typed = ""), go("measure", { cm: one.cm })), { className: due.includes(one.cm) ? "big main" : "big" });
    return [box("h1", "", say("measure_board")), box("p", "", say("check_tape")), box("div", "phone-choose", boards.map(choose))];
  }
  const measured = Number(typed);
  const events = shown.events.filter((event) => !event.over && event.boards.some((one) => one.cm === cm));
  const put = () =>
    measured &&
    store(context, events.map(({ id }) => ({ event: id, kind: "board_checked", values: { board_cm: cm, measured_cm: measured } })), () => ((typed = ""), go(""))); // prettier-ignore
  const set = (/** @type {string} */ digits) => ((typed = digits), context.redraw());
  const board = `${markShown(cm, "cm")} m`;
  const off = Math.min(...events.map((event) => event.board_off_cm));
  const ask = () => (measured && Math.abs(measured - cm) > off ? go("measure", { cm, asked: true }) : put());
  if (asked) {
    return [
      box("h1", "", say("measured_of", { board })),
      box("p", "warning", say("measured_off", { board, measured: `${pointed(typed, "cm")} m` })),
      press(say("measure_again"), () => ((typed = ""), go("measure", { cm })), { className: "big main" }),
      press(say("measured_so"), put, { className: "big" }),
    ];
  }
  return [
    box("h1", "", say("measured_of", { board })),
    box("p", "", say("digits_alone")),
    keypad({ digits: typed, most: 4, shown: typed ? `${pointed(typed, "cm")} m` : "", set, done: ask }),
  ];
}

const ticked = /** @type {Set<string>} */ (new Set());

/** Signed by the referee; nobody jumps before. @type {import("./shown.js").Page} */
export function ready({ shown, context }) {
  const tick = (/** @type {string} */ key) => () => {
    if (!ticked.delete(key)) ticked.add(key);
    context.redraw();
  };
  const sign = () => {
    if (CHECKS.some((key) => !ticked.has(key))) return;
    ticked.clear();
    return store(context, forAll(shown, "readiness_signed"));
  };
  return [
    box("h1", "", say("sand_and_board")),
    box("div", "phone-choose", CHECKS.map((key) => press(`${ticked.has(key) ? "✓" : "☐"} ${say(key)}`, tick(key), { className: "phone-tick", pressed: ticked.has(key) }))),
    box("p", "", say("qualified")),
    press(say("sign_off"), sign, { className: ticked.size === CHECKS.length ? "big main" : "big phone-quiet", small: ticked.size === CHECKS.length ? "" : say("tick_all") }),
    press(say("measure_board"), () => go("measure"), { className: "big" }),
  ];
}

/** @type {import("./shown.js").Page} */
export function gaugePage({ shown, context }) {
  const dead = shown.events.every((event) => event.no_gauge || event.over);
  if (view.of !== "sure") {
    const words = dead ? "gauge_again" : "gauge_dead";
    return [box("h1", "", say("gauge")), box("p", "", say(dead ? "no_wind_now" : "gauge_dead_means")), press(say(words), () => go("gauge", "sure"), { className: "big" })];
  }
  const put = () => store(context, forAll(shown, "no_gauge", dead ? { until: true } : {}));
  return [box("h1", "", say("gauge")), press(say(dead ? "gauge_again_sure" : "gauge_dead_sure"), put, { className: "big main", first: true })];
}
