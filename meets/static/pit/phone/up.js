// Who is up and who comes next; the trial clock.

import { eventOf } from "./overlay.js";
import { box, press } from "./pressing.js";
import { say } from "./words.js";

/** @typedef {import("./shown.js").Shown} Shown */
/** @typedef {import("./shown.js").Which} Which */
/** @typedef {import("./types.js").Context} Context */

const TICK_MS = 200;

/** Who is up: the first who is not away. @param {Shown} shown */
export const nextUp = ({ queue }) => queue.find((open) => !open.away) ?? queue[0];

/** @param {Shown} shown @param {string} entry */
export const nameOf = (shown, entry) => {
  const { bib = "", name = "", school = "", year = "" } = shown.people[entry] ?? {};
  return { bib, name, rest: [school, year].filter(Boolean).join(" · ") };
};

/**
 * Bib, name, school and year in one row; bibs tell namesakes apart.
 * @param {Shown} shown
 * @param {string} entry
 * @param {string} [more]
 */
export function who(shown, entry, more) {
  const { bib, name, rest } = nameOf(shown, entry);
  return [box("span", "bib", bib), box("span", "phone-who", [name, box("small", "", [more, rest].filter(Boolean).join(" · "))])];
}

/** A series as it stands. @param {Shown} shown @param {string} entry */
export function series(shown, entry) {
  const trials = (shown.series[entry] ?? []).filter((trial) => trial.shown || trial.wind);
  return trials.map((trial) =>
    box("span", trial.void ? "struck" : "", [
      box("span", "mark", trial.shown || "…"),
      ` ${trial.wind}${trial.disputed || trial.wind_disputed ? ` ${say("differs")}` : ""}${trial.looked ? ` ${say("desk_looks")}` : trial.own ? " ↑" : ""} `,
    ]),
  );
}

/** The athlete at the board, readable at arm's length. @param {Shown} shown @param {Which} turn @param {Node[]} more */
export function upCard(shown, { entry }, more) {
  const person = shown.people[entry];
  const { bib, name, rest } = nameOf(shown, entry);
  const facts = [person?.board && say("board_d", { d: person.board }), person?.range && say("range", { range: person.range.shown }), person?.best && say("best", { best: person.best })];
  const own = series(shown, entry);
  const tags = (person?.tags ?? []).filter((/** @type {string} */ tag) => !person?.status?.startsWith(tag));
  return box("section", "pit-up", [
    box("div", "pit-bib", bib),
    box("div", "pit-who", [
      box("p", "pit-name", person?.say_it ? `${name} (${person.say_it})` : name),
      box("p", "", [rest, ...tags, person?.status].filter(Boolean).join(" · ")),
      box("p", "pit-facts", facts.filter(Boolean).map((fact) => box("span", "", `${fact} `))),
    ]),
    ...(own.length ? [box("p", "pit-series", own)] : []),
    ...(person?.reach ? [box("p", "warning", person.reach)] : []),
    ...more,
  ]);
}

/** next, then, and those away. @param {Shown} shown @param {string} up */
export function soon(shown, up) {
  const others = shown.queue.filter((open) => open.turn !== up);
  const row = (/** @type {string} */ label, /** @type {import("./shown.js").OpenTurn} */ open) =>
    box("p", "", [box("span", "pit-label", label), ...who(shown, open.entry, open.away || shown.people[open.entry]?.board)]);
  const next = others.filter((open) => !open.away).slice(0, 2).map((open, i) => row(say(i ? "then" : "next"), open)); // prettier-ignore
  const out = new Map(others.filter((open) => open.away).map((open) => [open.entry, row(say("away"), open)]));
  return next.length || out.size ? [box("section", "pit-soon", [...next, ...out.values()])] : [];
}

// The clock

/** What runs here. By the phone's own running time: clocks may be put right meanwhile. */
let clock = { turn: "", began: 0 };
let warned = false;
let ticking = 0;

/** Seconds left, as a screen shows them. @param {{ started: number | null, seconds: number }} of @param {number} now */
export const left = ({ started, seconds }, now) => (started === null ? seconds : Math.max(0, Math.ceil(seconds - (now - started) / 1000)));

/**
 * Start, stop and put back the clock of a trial.
 * @param {Shown} shown
 * @param {Which & { seconds?: number }} turn
 * @param {Context} context
 * @returns {HTMLElement[]}
 */
export function clockButtons(shown, turn, context) {
  const event = eventOf(shown, turn.event);
  const seconds = turn.seconds || event?.seconds || 0;
  if (!seconds) return [];
  if (clock.turn !== turn.turn) clock = { turn: turn.turn, began: 0 };
  const tell = (/** @type {boolean} */ on) => {
    clock.began = on ? performance.now() : 0;
    warned = false;
    context.setClock({ turn: turn.turn, started: on ? context.now() : null, seconds });
    context.redraw();
  };
  const running = clock.began > 0;
  const button = press(say("clock_start", { s: seconds }), () => tell(!running), { key: "c", className: "pit-clock" });
  clearInterval(ticking);
  const tick = () => {
    if (!button.isConnected) return;
    const s = left({ started: clock.began, seconds }, performance.now());
    const soon = s <= (event?.warning ?? 0);
    button.textContent = s ? (soon ? say("clock_warning", { s }) : say("clock_stop", { s })) : say("clock_over");
    button.classList.toggle("warned", soon);
    if (soon && !warned) navigator.vibrate?.([200, 100, 200]);
    warned = soon;
  };
  if (running) {
    button.classList.add("running");
    ticking = setInterval(tick, TICK_MS);
    queueMicrotask(tick);
    return [button, press(say("clock_again"), () => tell(true))];
  }
  return [button];
}

