// One trial, one question at a time: flag, reason, digits, wind, what looks odd, read back, Confirm. Nothing sends itself.

import { keypad, markOf, markShown, mostDigits, pointed, windOf, windShown } from "./keypad.js";
import { eventOf, trialOf, turnOf, windFor } from "./overlay.js";
import { store } from "./people.js";
import { forAll } from "./pit.js";
import { box, line, press, turned } from "./pressing.js";
import { fill, say } from "./words.js";

/** @typedef {import("./shown.js").Draft} Draft */
/** @typedef {import("./shown.js").Shown} Shown */
/** @typedef {import("./types.js").Context} Context */

const FLAGS = /** @type {const} */ ({
  white: { key: "w", face: "", result: "mark" },
  red: { key: "x", face: "x", result: "x" },
  pass: { key: "-", face: "–", result: "-" },
  retire: { key: "r", face: "r", result: "r" },
  unmeasured: { key: "o", face: "o", result: "o" },
});
/** Events for which somebody has said that they record before the sand is signed off: it stays on the screen. */
const unready = /** @type {Set<number>} */ (new Set());
const WHY = ["why_misheard", "why_typed", "why_swapped", "why_flag", "why_judge"];

/** @param {import("./shown.js").Which} which @param {Partial<Draft>} [more] @returns {Draft} */
export function draftOf({ turn, event, entry, round, replacement }, more) {
  return { turn, event, entry, round, replacement, digits: "", sign: "", windDigits: "", stored: [], ...more };
}

/** @param {Draft} d */
const measured = (d) => d.flag === "white" || (d.flag === "red" && d.protest);

/** A wind is asked for when nobody else reads it. @param {Draft} d @param {Shown} shown */
function asksWind(d, shown) {
  if (!measured(d)) return false;
  return !shown.gauge_on && !eventOf(shown, d.event)?.no_gauge && !windFor(shown, d.turn);
}

/** @param {Draft} d @param {Shown} shown @param {Context} context */
export function stepOf(d, shown, context) {
  if (!d.flag) return "flag";
  if (d.flag === "red" && d.fail === undefined && !d.protest) return "fail";
  if (measured(d) && !d.mark) return "mark";
  if (d.wind === undefined && asksWind(d, shown)) return "wind";
  if (d.old && !d.why) return "why";
  if (!d.answered && questions(d, shown, context).length) return "ask";
  return "confirm";
}

/**
 * What looks odd, by the numbers that the state gives.
 * @param {Draft} d
 * @param {Shown} shown
 * @param {Context} context
 * @returns {{ says: string, guess: number | null }[]}
 */
function questions(d, shown, context) {
  /** @type {{ says: string, guess: number | null }[]} */
  const found = [];
  const [person, event] = [shown.people[d.entry], eventOf(shown, d.event)];
  const { ask_same: same, ask_order: order, asks } = shown;
  const bib = person?.bib ?? "";
  const ask = (/** @type {string | undefined} */ says, /** @type {any} */ values = {}, /** @type {number | null} */ guess = null) =>
    says && found.push({ says: fill(says, { bib, ...values }), guess });
  const before = shown.last[0];
  if (!d.old && event?.suspended) ask(order?.says_suspended);
  if (!d.old && event && !event.ready && !unready.has(event.id)) ask(order?.says_ready);
  if (same && !d.old && before?.entry === d.entry && context.now() - before.at < same.within_s * 1000) ask(same.says_bib);
  if (d.mark && measured(d)) {
    const mark = markShown(d.mark, shown.unit);
    const board = event?.boards.find(({ cm }) => cm === person?.board_cm);
    // With a board chosen here since, the range of that one holds.
    const fits = asks?.[d.entry]?.board_cm === (person?.board_cm ?? null);
    const out = !fits && board?.low && board.high && (d.mark < board.low || d.mark > board.high);
    if (out) ask(order?.says_range, { mark, board: markShown(board.cm, "cm"), low: markShown(board.low ?? 0, shown.unit), high: markShown(board.high ?? 0, shown.unit) });
    for (const band of asks?.[d.entry]?.marks ?? []) {
      if (d.mark < band.from || d.mark > band.to || (band.kind === "range" && !fits)) continue;
      const guess = guessOf(d.mark, band.guess);
      ask(band.says, { mark, guess: guess ? markShown(guess, shown.unit) : "" }, guess);
    }
    if (event && d.mark > event.longest) ask(order?.says_longest, { mark, longest: markShown(event.longest, shown.unit) });
    const last = before && before.turn !== d.turn ? (trialOf(shown, before.turn)?.mark ?? before.mark) : null;
    if (same && !d.old && last === d.mark) ask(same.says_mark, { mark });
  }
  if (typeof d.wind === "number") for (const says of windQuestions(d.wind, shown, context)) ask(says);
  return found;
}

/**
 * @param {number} tenths
 * @param {Shown} shown
 * @param {Context} context
 * @returns {string[]}
 */
export function windQuestions(tenths, shown, context) {
  const rule = shown.ask_winds;
  if (!rule) return [];
  const later = context.own.filter(({ entry, epoch, seq }) => entry.kind === "wind_read" && seq > (shown.included?.[epoch] ?? 0));
  const read = later.map(({ entry }) => entry.values.tenths).filter((wind) => typeof wind === "number");
  const last = /** @type {number[]} */ ([...rule.last, ...read].slice(-5));
  const wind = windShown(tenths);
  if (tenths && last.length >= rule.stale - 1 && last.slice(1 - rule.stale).every((one) => one === tenths)) return [fill(rule.says_stale, { wind })];
  if (last.length < rule.stale) return [];
  const sorted = [...last].sort((a, b) => a - b);
  const middle = (sorted[(sorted.length - 1) >> 1] + sorted[sorted.length >> 1]) / 2;
  const usual = (middle + last[last.length - 1]) / 2;
  return tenths * usual < 0 && Math.abs(tenths - usual) > rule.flip ? [fill(rule.says_flip, { wind, usual: windShown(Math.round(usual)) })] : [];
}

/** @param {number} mark @param {{ add: number, swap: number[] | null } | null} guess */
function guessOf(mark, guess) {
  if (!guess) return null;
  const { add, swap } = guess;
  if (!swap) return mark + add;
  const d = [...String(mark)];
  const swapped = d.slice(1).map((_, i) => Number([...d.slice(0, i), d[i + 1], d[i], ...d.slice(i + 2)].join("")));
  const [low, high] = swap;
  const long = (/** @type {number} */ one) => String(one).length === d.length && one !== mark;
  return [...swapped.filter(long).sort((a, b) => a - b), mark + add].find((one) => low <= one && one <= high) ?? null;
}

/** The answers in large figures. @param {Draft} d @param {string} unit */
function figuresOf(d, unit) {
  const mark = d.mark && measured(d) ? markShown(d.mark, unit) : "";
  return d.flag === "white" ? mark : mark ? `x/${mark}` : d.flag ? FLAGS[d.flag].face : "";
}

/** @param {Draft} d */
function windWords(d) {
  return typeof d.wind === "number" ? windShown(d.wind) : d.wind ? say(d.wind === "none" ? "no_reading" : "comes_later") : "";
}

/**
 * The question that is open.
 * @param {Draft} d
 * @param {Shown} shown
 * @param {Context} context
 * @param {{ key: string, done: () => void, leave?: () => void }} where  `key`: under which it is kept over a reload
 * @returns {Node}
 */
export function trial(d, shown, context, { key, done, leave }) {
  const step = stepOf(d, shown, context);
  const set = (/** @type {Partial<Draft>} */ change, quiet = false) => {
    Object.assign(d, change);
    void context.setDraft(key, d).catch(() => null);
    if (quiet) return context.redraw();
    turned();
    // Held upright every question fits below the card; a list that was scrolled must not hide the next one's top.
    if (innerHeight > innerWidth) scrollTo(0, 0);
  };
  const again = (/** @type {Partial<Draft>} */ change) => set({ answered: false, unsaved: false, ...change });
  const section = (/** @type {string} */ title, /** @type {Node[]} */ inside, /** @type {Node[]} */ ...below) => {
    const made = box("section", "pit-step", [box("h2", "", title), ...inside, box("p", "pit-back", below)]);
    made.dataset.step = step;
    if (step !== "confirm") Object.assign(made.dataset, { first: "" });
    made.tabIndex = -1;
    return made;
  };
  const back = press(say("back"), () => again(step === "ask" && measured(d) ? { mark: null } : STEP_BACK[step]), { key: "escape" });
  const out = leave ? [press(say("leave_it"), leave)] : [];

  if (step === "flag") {
    const buttons = Object.entries(FLAGS).map(([flag, { key }]) =>
      press(say(flag), () => again({ flag: /** @type {"white"} */ (flag), digits: "" }), { key, small: say(`${flag}_means`), className: `flag-${flag}` }),
    );
    return section(say("which_flag"), [box("div", "pit-flags", buttons)], ...out);
  }
  if (step === "fail") {
    const reasons = /** @type {{ value: string, says: string }[]} */ (shown.reasons?.[d.event] ?? [{ value: "", says: say("no_reason") }]);
    const buttons = reasons.map(({ value, says }, i) => press(says, () => again({ fail: value }), { key: String((i + 1) % 10) }));
    const protest = press(say("under_protest"), () => again({ protest: true, digits: "" }), { key: "p", className: "protest" });
    return section(say("why_red"), [box("div", "pit-reasons", [protest, ...buttons])], back);
  }
  if (step === "mark") {
    const pad = keypad({
      digits: d.digits,
      most: mostDigits(shown.unit),
      shown: pointed(d.digits, shown.unit),
      set: (digits) => set({ digits }, true),
      done: () => again({ mark: markOf(d.digits, shown.unit) }),
    });
    return section(say("digits_alone"), [pad], back);
  }
  if (step === "wind") {
    const tenths = windOf(d.windDigits, d.sign);
    const wind = (/** @type {number | "none" | "later"} */ wind) => again({ wind });
    const pad = keypad({
      digits: d.windDigits,
      most: 3,
      shown: d.windDigits ? windShown(windOf(d.windDigits, d.sign || "+") ?? 0).replace("+", d.sign) : "",
      set: (windDigits) => set({ windDigits }, true),
      done: () => (tenths === null ? set({ unsigned: Boolean(d.windDigits) }, true) : wind(tenths)),
      sign: d.sign,
      turn: (sign) => set({ sign }, true),
      more: [
        box("div", "pit-named", [
          press("0.0", () => wind(0), { key: "z" }),
          press(say("no_reading"), () => wind("none"), { key: "n" }),
          press(say("comes_later"), () => wind("later"), { key: "l" }),
        ]),
      ],
    });
    const none = () => store(context, forAll(shown, "no_gauge", {}, say("no_gauge_here")), turned);
    const nowhere = shown.session.gauge === false ? [press(say("no_gauge_from_here"), none, { className: "big phone-none" })] : [];
    const hint = d.unsigned && !d.sign ? [box("p", "warning", say("sign_first"))] : [];
    return section(`${figuresOf(d, shown.unit)} · ${say("what_wind")}`, [...nowhere, ...hint, pad], back);
  }
  if (step === "why") return section(say("why_right"), [reasonPicker(WHY, (why) => set({ why }))], back);
  if (step === "ask") {
    const figures = figuresOf(d, shown.unit);
    const answered = () => {
      if (eventOf(shown, d.event)?.ready === false) unready.add(d.event);
      set({ answered: true });
    };
    const asked = questions(d, shown, context).flatMap(({ says, guess }) => [
      box("p", "warning phone-ask", says),
      ...(guess ? [press(say("no_guess", { guess: markShown(guess, shown.unit) }), () => set({ mark: guess, digits: String(guess), answered: true }), { className: "big" })] : []),
    ]);
    const yes = press(say("yes_right", { figures: `${figures} ${typeof d.wind === "number" ? windWords(d) : ""}`.trim() }), answered, { className: "big main" });
    return section(say("one_question"), [box("div", "pit-questions", [...asked, yes])], back);
  }
  return section(say("read_back"), readBack(d, shown, context, { key, done, set }), back, ...out);
}

/** What Back opens again, by the step it is pressed in. @type {Record<string, Partial<Draft>>} */
const STEP_BACK = {
  fail: { flag: "" },
  mark: { flag: "", protest: false, digits: "", fail: undefined },
  wind: { mark: null },
  why: { flag: "", mark: null, digits: "", protest: false, fail: undefined },
  ask: { flag: "", mark: null, protest: false, fail: undefined },
  confirm: { flag: "", mark: null, protest: false, fail: undefined, wind: undefined, why: "" },
};

/**
 * @param {Draft} d
 * @param {Shown} shown
 * @param {Context} context
 * @param {{ key: string, done: () => void, set: (change: Partial<Draft>) => void }} where
 */
function readBack(d, shown, context, { key, done, set }) {
  const person = shown.people[d.entry];
  const figures = figuresOf(d, shown.unit);
  const reason = shown.reasons?.[d.event]?.find((/** @type {any} */ one) => one.value === d.fail)?.says;
  const words = d.protest ? say("protest_read") : d.flag === "red" && reason ? reason : d.flag === "white" ? "" : say(`${d.flag}_means`);
  const large = box("p", "pit-figures", figures);
  large.dataset.length = String(figures.length);
  const read = box("div", "pit-read", [
    box("p", "pit-read-bib", [box("span", "bib", person?.bib ?? ""), ` ${person?.name ?? ""}`]),
    large,
    box("p", "pit-said", [d.old ? `${say("instead_of", { old: d.old.shown })} ` : "", words]),
    box("p", "pit-wind-said", [box("span", typeof d.wind === "number" ? "pit-wind-figures" : "", windWords(d))]),
  ]);
  const confirm = press(say(d.unsaved ? "try_again" : "confirm"), () => store(), { key: "enter", className: "main big confirm", first: true });
  let busy = false;
  const store = async () => {
    if (busy) return;
    busy = true;
    try {
      await saveTrial(d, context, key);
    } catch {
      return set({ unsaved: true });
    }
    done();
  };
  const unsaved = d.unsaved ? [box("p", "phone-unsaved", say("not_saved_large"))] : [];
  for (const one of unsaved) one.role = "alert";
  return [...unsaved, read, confirm];
}

/**
 * Wind and protest first, the trial last: the draft ends with it. What was stored is not stored twice.
 * @param {Draft} d
 * @param {Context} context
 * @param {string} key
 */
async function saveTrial(d, context, key) {
  const { event, entry, round } = d;
  const reason = d.why;
  const turn = { entry, round, ...(d.replacement && { replacement: d.replacement }) };
  const rows = /** @type {[string, any][]} */ ([]);
  if (typeof d.wind === "number" || d.wind === "none") {
    rows.push(["wind", { kind: "wind_read", values: { ...turn, tenths: d.wind === "none" ? null : d.wind } }]);
  }
  if (d.protest) rows.push(["protest", { kind: "protest_lodged", values: { protest: d.turn, ...turn }, reason: say("oral_protest") }]);
  for (const [name, draft] of rows) {
    if (d.stored.includes(name)) continue;
    await context.save({ event, ...draft });
    d.stored.push(name);
  }
  // A distance that was read stays beside a flag that was changed.
  const mark = measured(d) ? d.mark : d.flag === "red" && d.old?.mark;
  const board = d.old ? d.old.board_cm : d.board;
  const values = {
    ...turn,
    result: FLAGS[/** @type {"white"} */ (d.flag)].result,
    ...(mark && { mark }),
    ...(d.flag === "red" && d.fail && { reason: d.fail }),
    ...(board && { board_cm: board }),
    ...(d.protest && { under_protest: true }),
  };
  await context.save({ event, kind: "jumped", values, supersedes: d.old?.rows ?? [], reason }, key);
}

/**
 * Usual reasons as buttons, another one in words.
 * @param {string[]} usual  keys of words
 * @param {(reason: string) => unknown} then
 */
export function reasonPicker(usual, then) {
  const { input, whole } = line(say("other_reason"), "", 200);
  return box("div", "pit-reasons", [
    ...usual.map((key) => press(say(key), () => then(say(key)))),
    whole,
    press(say("take_reason"), () => input.value.trim() && then(input.value)),
  ]);
}

/** A turn of somebody, by its name. @param {string} turn @param {number} event */
export const which = (turn, event) => ({ ...turnOf(turn), event });
