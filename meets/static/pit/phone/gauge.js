// The wind gauge: five seconds from the mark on the runway, then the reading, which belongs to the turn it was started for.

import { keypad, windOf, windShown } from "./keypad.js";
import { trialOf, windFor } from "./overlay.js";
import { store } from "./people.js";
import { box, go, press, turned } from "./pressing.js";
import { notices } from "./round.js";
import { windQuestions } from "./trial.js";
import { nextUp, who } from "./up.js";
import { say } from "./words.js";

/** @typedef {import("./shown.js").Shown} Shown */
/** @typedef {import("./types.js").Context} Context */

const MEASURE_S = 5;
const TICK_MS = 100;
const BEEP_MS = 600;
const MOST_OWED = 3;
const DECIMALS = "decimals of the gauge";

/** The turn that was started or chosen, and what is being typed for it. */
const reading = { turn: "", event: 0, began: 0, over: false, digits: "", sign: "", confirm: false };
let decimals = 1;
let known = false;
let ticking = 0;
/** @type {AudioContext | null} */
let sound = null;

function clear() {
  Object.assign(reading, { turn: "", began: 0, over: false, digits: "", sign: "", confirm: false });
  clearInterval(ticking);
}

/** @type {import("./shown.js").Page} */
export function gauge({ shown, context }) {
  if (!known) {
    known = true;
    void context.getDraft(DECIMALS).catch(() => null).then((/** @type {any} */ kept) => {
      decimals = kept === 2 ? 2 : 1;
      context.redraw();
    });
  }
  const open = shown.queue.filter((one) => !one.away && !windFor(shown, one.turn));
  const turn = reading.turn ? { turn: reading.turn, entry: reading.turn.replace(/-\d+-\d+$/, ""), event: reading.event } : (open[0] ?? nextUp(shown));
  const set = (/** @type {Partial<typeof reading>} */ change, quiet = false) => {
    Object.assign(reading, change);
    if (quiet) context.redraw();
    else turned();
  };
  const [card, ...rest] = turn ? asked(shown, context, turn, set) : [box("p", "pit-due", say("nobody_up"))];
  const now = box("div", "pit-now", [card, box("div", "pit-steps", rest)]);
  return [...notices({ ...shown, due: [], check: null }, context), ...owedWinds(shown), now, ...lastWinds(shown), tools()];
}

/**
 * @param {Shown} shown
 * @param {Context} context
 * @param {{ turn: string, entry: string, event: number }} turn
 * @param {(change: Partial<typeof reading>, quiet?: boolean) => void} set
 */
function asked(shown, context, turn, set) {
  const pin = { turn: turn.turn, event: turn.event };
  const card = box("section", "pit-up", [box("div", "pit-bib", shown.people[turn.entry]?.bib ?? ""), box("div", "pit-who", [
    box("p", "pit-name", shown.people[turn.entry]?.name ?? ""),
    box("p", "", say("round_n", { n: turn.turn.split("-").at(-2) ?? "" })),
    ...(reading.turn ? [box("p", "phone-pinned", say("pinned"))] : []),
  ])]); // prettier-ignore
  const wind = windOf(reading.digits, reading.sign);
  const save = (/** @type {object} */ values) => {
    const [, round, replacement] = /** @type {string[]} */ (/-(\d+)-(\d+)$/.exec(turn.turn));
    const which = { entry: turn.entry, round: Number(round), ...(Number(replacement) && { replacement: Number(replacement) }) };
    const old = (trialOf(shown, turn.turn) ?? shown.queue.find((one) => one.turn === turn.turn))?.wind_rows ?? [];
    const again = old.length ? { supersedes: old, reason: say("why_read_again") } : {};
    return store(context, [{ event: turn.event, kind: "wind_read", values: { ...which, ...values }, ...again }], () => {
      clear();
      go("");
    });
  };
  if (reading.confirm && wind !== null) {
    const tenths = decimals === 1 ? wind : Math.round(wind / 10);
    const value = decimals === 1 ? { tenths: wind } : { hundredths: wind };
    return [card, box("section", "pit-step", [
      box("h2", "", say("read_back_wind")),
      ...windQuestions(tenths, shown, context).map((says) => box("p", "warning phone-ask", says)),
      box("div", "pit-read", [box("p", "pit-figures", windShown(wind, decimals))]),
      press(say("confirm"), () => save(value), { key: "enter", className: "big main confirm", first: true }),
      box("p", "pit-back", [press(say("back"), () => set({ confirm: false }), { key: "escape" })]),
    ])]; // prettier-ignore
  }
  if (reading.began && !reading.over) return [card, countdown(set)];
  const start = press(say("start_5"), () => {
    sound ??= "AudioContext" in globalThis ? new AudioContext() : null;
    void sound?.resume();
    set({ ...pin, began: performance.now() });
  }, { key: "s", className: "big main phone-start" }); // prettier-ignore
  const digits = keypad({
    digits: reading.digits,
    most: 2 + decimals,
    shown: reading.digits ? windShown(windOf(reading.digits, reading.sign || "+") ?? 0, decimals).replace("+", reading.sign) : "",
    set: (digits) => set({ ...pin, digits }, true),
    done: () => wind !== null && set({ ...pin, confirm: true }),
    sign: reading.sign,
    turn: (sign) => set({ ...pin, sign }, true),
    more: [
      box("div", "pit-named", [
        press(say("no_reading"), () => save({ tenths: null })),
        press(say("another_bib"), () => go("gauge_pick")),
        press(say(decimals === 1 ? "two_decimals" : "one_decimal"), () => {
          decimals = 3 - decimals;
          void context.setDraft(DECIMALS, decimals).catch(() => null);
          set({ digits: "" }, true);
        }),
      ]),
    ],
  });
  const hint = reading.digits && wind === null ? [box("p", "warning", say("sign_first"))] : [];
  return [card, ...(reading.over ? [box("p", "done", say("read_now"))] : [start]), ...hint, digits];
}

/** @param {(change: Partial<typeof reading>) => void} set */
function countdown(set) {
  const left = () => MEASURE_S - (performance.now() - reading.began) / 1000;
  const face = box("p", "phone-countdown", String(Math.max(0, Math.ceil(left()))));
  face.role = "timer";
  clearInterval(ticking);
  ticking = setInterval(() => {
    if (left() > 0) return void (face.textContent = String(Math.ceil(left())));
    clearInterval(ticking);
    navigator.vibrate?.(BEEP_MS);
    beep();
    document.body.classList.add("flash");
    setTimeout(() => document.body.classList.remove("flash"), BEEP_MS);
    set({ over: true });
  }, TICK_MS);
  return box("section", "phone-measuring", [face, press(say("start_again"), () => set({ began: 0, over: false, turn: "" }))]);
}

function beep() {
  if (!sound) return;
  const tone = sound.createOscillator();
  tone.connect(sound.destination);
  tone.start();
  tone.stop(sound.currentTime + BEEP_MS / 1000);
}

/** Trials that were measured and whose wind nobody has said: a tap, and the reading is for that one. @param {Shown} shown */
function owedWinds({ owed, people }) {
  if (!owed.length || reading.turn) return [];
  const buttons = owed.slice(0, MOST_OWED).map((/** @type {any} */ one) => press(people[one.entry]?.bib ?? "", () => pick(one), { small: say("round_n", { n: one.round }) }));
  const rest = owed.length > MOST_OWED ? [press("…", () => go("gauge_pick"), { label: say("owed") })] : [];
  return [box("section", "phone-owed", [box("strong", "", say("owed")), ...buttons, ...rest])];
}

/** @param {Shown} shown */
function lastWinds(shown) {
  const rows = Object.entries(shown.series).flatMap(([entry, trials]) => trials.filter((one) => one.wind && one.own).map((one) => ({ entry, ...one }))).reverse();
  const own = new Set(rows.map((one) => one.turn));
  const all = [...rows, ...shown.last.filter((one) => one.wind && !own.has(one.turn))].slice(0, 3);
  const list = all.map((one) =>
    box("li", "", [press([...who(shown, one.entry), box("span", "wind", one.wind)], () => pick({ ...one, event: shown.people[one.entry]?.event ?? 0 }), { className: "phone-row" })]),
  );
  return list.length ? [box("section", "pit-last", [box("h2", "", say("last_winds")), box("ul", "", list)])] : [];
}

/** @param {{ turn: string, event: number }} turn */
function pick({ turn, event }) {
  clear();
  Object.assign(reading, { turn, event });
  go("");
}

/** The turn a reading belongs to, chosen by hand. @type {import("./shown.js").Page} */
export function gaugePick({ shown }) {
  const written = [...shown.owed, ...shown.last].filter((one, i, all) => all.findIndex((first) => first.turn === one.turn) === i && !shown.queue.some((open) => open.turn === one.turn));
  const rows = [...written, ...shown.queue].map((one) =>
    box("li", "", [press([...who(shown, one.entry), box("small", "", say("round_n", { n: one.turn.split("-").at(-2) ?? "" }))], () => pick(one), { className: "phone-row" })]),
  );
  return [box("h1", "", say("another_bib")), box("ul", "pit-people", rows)];
}

function tools() {
  return box("nav", "pit-tools", [
    press(say("stop"), () => go("stop"), { className: "phone-stop" }),
    press(say("gauge_dead"), () => go("gauge")),
    ...(reading.turn ? [press(say("leave_it"), () => (clear(), go("")))] : []),
  ]);
}
