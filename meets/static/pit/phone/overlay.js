// Lays what this phone has saved over the state that the server gave: only what that state does not hold yet. It moves
// and marks; what follows from it (places, the cut, the next round) comes with the next state.

import { markShown, windShown } from "./keypad.js";
import { say } from "./words.js";

/** @typedef {import("./shown.js").Shown} Shown */
/** @typedef {import("./shown.js").Trial} Trial */
/** @typedef {import("./types.js").Entry} Entry */

const LAST = 3;
const SIGNS = /** @type {Record<string, string>} */ ({ x: "x", "-": "–", r: "r", o: "o" });

/** @param {{ entry: string, round: number, replacement?: number }} values */
export const turnName = ({ entry, round, replacement = 0 }) => `${entry}-${round}-${replacement}`;

/** @param {string} name */
export function turnOf(name) {
  const [, entry, round, replacement] = /** @type {string[]} */ (/^(.*)-(\d+)-(\d+)$/.exec(name));
  return { turn: name, entry, round: Number(round), replacement: Number(replacement) };
}

/**
 * @param {import("./types.js").PhoneState} state
 * @param {import("./types.js").Kept[]} own
 * @returns {Shown}
 */
export function overlay(state, own) {
  const { queue, people, series, last, events, protests, owed, disputes } = state;
  const shown = /** @type {Shown} */ (/** @type {unknown} */ (structuredClone({
    ...state, queue: queue ?? [], people: people ?? {}, series: series ?? {}, last: last ?? [], events: events ?? [],
    protests: protests ?? [], owed: owed ?? [], disputes: disputes ?? [],
  }))); // prettier-ignore
  const names = new Map(Object.entries(shown.people).map(([key, person]) => [person.named, key]));
  const waits = new Set(state.in_review);
  for (const { entry, epoch, seq, status } of own) {
    const later = seq > (state.included?.[epoch] ?? 0);
    if (!(later || waits.has(entry.id)) || status === "quarantined") continue;
    const key = String(entry.values.entry ?? "");
    const looked = !later || status === "needs_review";
    LAY[entry.kind]?.(shown, /** @type {any} */ ({ ...entry.values, entry: names.get(key) ?? key }), { ...entry, looked });
  }
  shown.last.length = Math.min(shown.last.length, LAST);
  return shown;
}

/** @param {Shown} shown @param {number} id */
export const eventOf = (shown, id) => shown.events.find((event) => event.id === id);

/** @param {Shown} shown @param {string} turn */
export function trialOf(shown, turn) {
  return shown.series[turnOf(turn).entry]?.find((trial) => trial.turn === turn && !trial.void);
}

/** What is known of the wind of a turn, also before its trial. @param {Shown} shown @param {string} turn */
export const windFor = (shown, turn) => trialOf(shown, turn)?.wind || (shown.queue.find((open) => open.turn === turn)?.wind ?? "");

/** @param {Shown} shown @param {string} entry @returns {Trial[]} */
const seriesOf = (shown, entry) => (shown.series[entry] ??= []);

/**
 * The trial of a turn; made with nothing in it when only its wind has come.
 * @param {Shown} shown
 * @param {any} values
 */
function trialFor(shown, values) {
  const turn = turnName(values);
  const found = trialOf(shown, turn);
  if (found) return found;
  const { round, replacement = 0 } = values;
  const { wind = "", wind_tenths = null, wind_rows = [] } = shown.queue.find((open) => open.turn === turn) ?? {};
  /** @type {Trial} */
  const made = { turn, round, replacement, result: "", mark: null, shown: "", wind_tenths, wind, rows: [], wind_rows };
  seriesOf(shown, values.entry).push(made);
  return made;
}

/** The turn is open, first in the row. @param {Shown} shown @param {any} values @param {number} event */
function reopen(shown, values, event) {
  const turn = turnName(values);
  if (shown.queue.some((open) => open.turn === turn)) return;
  const { entry, round, replacement = 0 } = values;
  const title = say("round_n", { n: round });
  shown.queue.unshift({ turn, event, entry, round, replacement, title, flight: "", number: 0, of: 0, away: "", why: "", seconds: 0 });
}

/** @param {Shown} shown @param {string} entry @param {string} status */
function gone(shown, entry, status) {
  shown.queue = shown.queue.filter((open) => open.entry !== entry);
  if (shown.people[entry]) shown.people[entry].status = status;
}

/** @param {Shown} shown @param {string} entry @param {string} away */
function away(shown, entry, away) {
  for (const one of [shown.people[entry], ...shown.queue.filter((open) => open.entry === entry)]) if (one) one.away = away;
}

/** @param {(event: import("./shown.js").Ev, said: any, entry: Entry) => void} change */
const onEvent = (change) => (/** @type {Shown} */ shown, /** @type {any} */ said, /** @type {Entry} */ entry) => {
  const event = eventOf(shown, entry.event);
  if (event) change(event, said, entry);
};

/** @type {Record<string, (shown: Shown, said: any, entry: Entry & { looked: boolean }) => void>} */
const LAY = {
  jumped(shown, said, { id, event, wall, offset, supersedes, looked }) {
    const trial = trialFor(shown, said);
    if (looked && trial.shown && !trial.own) return; // (what counts stands there)
    const mark = said.mark ?? null;
    const words = said.result === "mark" ? markShown(mark, shown.unit) : (SIGNS[said.result] ?? "");
    Object.assign(trial, { result: said.result, mark, shown: words, board_cm: said.board_cm ?? null, rows: [id], own: true, looked, disputed: false, hidden: said.under_protest });
    shown.disputes = shown.disputes.filter((/** @type {any} */ one) => one.what !== "trial" || one.turn !== trial.turn);
    shown.queue = shown.queue.filter((open) => open.turn !== trial.turn && (said.result !== "r" || open.entry !== said.entry));
    const person = shown.people[said.entry];
    const best = Math.max(...seriesOf(shown, said.entry).map((one) => (one.result === "mark" && !one.void && one.mark) || 0));
    if (person && best) person.best = markShown(best, shown.unit);
    const written = { turn: trial.turn, entry: said.entry, event, bib: person?.bib ?? "", shown: words, wind: trial.wind, at: wall + offset, own: true, looked, mark };
    const at = shown.last.findIndex((one) => one.turn === trial.turn);
    if (at >= 0 && supersedes.length) shown.last[at] = written;
    else shown.last = [written, ...shown.last.filter((one) => one.turn !== trial.turn)];
  },
  wind_read(shown, said, { id }) {
    const trial = trialFor(shown, said);
    const tenths = said.tenths ?? null;
    const wind = said.hundredths !== undefined ? windShown(said.hundredths, 2) : tenths === null ? say("nwi") : windShown(tenths);
    Object.assign(trial, { wind_tenths: tenths, wind, wind_rows: [id], own: true, owed_wind: false, wind_disputed: false });
    shown.owed = shown.owed.filter((/** @type {any} */ one) => one.turn !== trial.turn);
    shown.disputes = shown.disputes.filter((/** @type {any} */ one) => one.what !== "wind" || one.turn !== trial.turn);
    for (const one of shown.last) if (one.turn === trial.turn) one.wind = wind;
  },
  voided(shown, said, { supersedes, event }) {
    const old = new Set(supersedes);
    for (const [entry, trials] of Object.entries(shown.series)) {
      for (const trial of trials) {
        if (trial.wind_rows.some((row) => old.has(row))) Object.assign(trial, { wind: "", wind_tenths: null, wind_rows: [] });
        if (!trial.rows.some((row) => old.has(row))) continue;
        trial.void = true;
        shown.last = shown.last.filter((one) => one.turn !== trial.turn);
        reopen(shown, { entry, round: trial.round, replacement: trial.replacement }, event);
      }
    }
  },
  replaced(shown, said, { event }) {
    const trial = trialOf(shown, turnName(said));
    if (trial) trial.void = true;
    shown.queue = shown.queue.filter((open) => open.turn !== turnName(said));
    reopen(shown, { ...said, replacement: (said.replacement ?? 0) + 1 }, event);
    shown.queue[0].why = say("replacement_trial");
  },
  board_set(shown, said) {
    const person = shown.people[said.entry];
    if (!person) return;
    const board = eventOf(shown, person.event)?.boards.find((one) => one.cm === said.board_cm);
    // What was said of the old board no longer holds.
    const reach = person.reaches?.[said.board_cm] ?? "";
    Object.assign(person, { board_cm: said.board_cm, board: board?.shown ?? `${markShown(said.board_cm, "cm")} m`, range: null, reach });
  },
  left: (shown, said) => away(shown, said.entry, [said.where, said.back_at].filter(Boolean).join(", ") || say("away")),
  returned: (shown, said) => away(shown, said.entry, ""),
  did_not_start: (shown, said) => gone(shown, said.entry, say("not_started")),
  withdrew: (shown, said) => gone(shown, said.entry, say("withdrawn")),
  added(shown, said, { event, named }) {
    if (!named || shown.people[said.entry]) return;
    const { name, school, bib, year } = named;
    const person = { event, bib, name, school, year: String(year ?? ""), tags: [say("pending")], pending: true };
    const none = { board_cm: null, board: "", best: "", best_mark: null, away: "", status: "", finished: false, say_it: "", range: null, reach: "" };
    shown.people[said.entry] = { ...person, ...none };
    const round = Math.min(...shown.queue.filter((open) => open.event === event).map((open) => open.round));
    if (!Number.isFinite(round)) return;
    const at = shown.queue.findLastIndex((open) => open.event === event && open.round === round) + 1;
    const values = { entry: said.entry, round, replacement: 0 };
    shown.queue.splice(at, 0, { ...shown.queue[at - 1], ...values, turn: turnName(values), away: "", why: "", number: 0, of: 0 });
  },
  protest_lodged(shown, said, { event, reason }) {
    const turn = said.round ? turnName(said) : "";
    const bib = shown.people[said.entry]?.bib ?? "";
    shown.protests.push({ protest: said.protest, event, entry: said.entry, turn, bib, by: said.by ?? "", reason, upheld: null });
  },
  no_gauge: onEvent((event, { until = false }) => (event.no_gauge = !until)),
  suspended: onEvent((event, said, { reason }) => (event.suspended = reason || say("stopped"))),
  resumed: onEvent((event) => (event.suspended = "")),
  readiness_signed: onEvent((event) => (event.ready = true)),
  alarm_settled(shown, said) {
    shown.alarms = (shown.alarms ?? []).filter((/** @type {any} */ one) => one.key !== said.alarm);
  },
  protest_decided(shown, said) {
    for (const one of shown.protests) if (one.protest === said.protest) one.upheld = said.upheld;
  },
};
