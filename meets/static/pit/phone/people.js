// Everybody one tap away: series, late, away and back, not started, not on the list.

import { markShown } from "./keypad.js";
import { eventOf } from "./overlay.js";
import { box, go, line, press, view } from "./pressing.js";
import { seriesLine } from "./round.js";
import { record } from "./recorder.js";
import { reasonPicker } from "./trial.js";
import { nextUp, upCard, who } from "./up.js";
import { newId } from "./canonical.js";
import { say } from "./words.js";

/** @typedef {import("./types.js").Context} Context */

/**
 * Save rows one after the other, then go on; if one is not saved the line on top says so and the page stays.
 * @param {Context} context
 * @param {Parameters<Context["save"]>[0][]} rows
 * @param {() => void} [then]
 */
export async function store(context, rows, then = () => go("")) {
  try {
    for (const row of rows) await context.save(row);
    then();
  } catch {
    // Nothing was kept: it is still on the screen.
    context.redraw();
  }
}

/** @type {import("./shown.js").Page} */
export function all({ shown }) {
  const entries = Object.entries(shown.people).sort(([, a], [, b]) => a.event - b.event || a.bib.localeCompare(b.bib, undefined, { numeric: true }));
  const rows = entries.map(([entry, person]) =>
    box("li", "", [
      press([...who(shown, entry), box("small", "", person.status || person.away), seriesLine(shown, entry)], () => go("one", entry), { className: "phone-row" }),
    ]),
  );
  return [box("h1", "", say("everybody")), box("ul", "pit-people", rows), press(say("not_on_list"), () => go("add"), { className: "big" })];
}

/** One athlete, and what may be said of them. @type {import("./shown.js").Page} */
export function one({ shown, context }) {
  const entry = view.of;
  const person = shown.people[entry];
  if (!person) return all({ shown, context });
  const { event } = person;
  const put = (/** @type {string} */ kind, /** @type {object} */ more = {}) => () => store(context, [{ event, kind, values: { entry, ...more } }]);
  const open = shown.queue.find((turn) => turn.entry === entry);
  const round = nextUp(shown)?.round ?? 1;
  const [where, back] = [line(say("where")), line(say("back_at"), "", 20)];
  const leave = press(say("goes_away"), () => put("left", { ...(where.input.value && { where: where.input.value }), ...(back.input.value && { back_at: back.input.value }) })());
  return [
    upCard(shown, { ...open, entry, turn: "", event, round, replacement: 0 }, []),
    box("div", "pit-acts", [
      ...(open && context.role !== "referee" ? [press(say("record_trial"), () => record(open), { className: "main" })] : []),
      person.away ? press(say("is_back"), put("returned"), { className: "main" }) : press(say("is_here"), put("checked_in")),
      press(say("joins", { n: round }), put("joined", { round })),
      press(say("board_change"), () => go("board", entry)),
      press(say("not_started"), put("did_not_start")),
      press(say("takes_no_more"), put("withdrew")),
    ]),
    ...(context.role === "referee" ? [rulings(entry, event, Number(eventOf(shown, event)?.round ?? 1))] : []),
    ...(person.away ? [] : [box("section", "pit-form", [box("h2", "", say("away_with_leave")), where.whole, back.whole, leave])]),
  ];
}

/** What only a referee says of an athlete. @param {string} entry @param {number} event @param {number} round */
function rulings(entry, event, round) {
  const rule = (/** @type {string} */ says, /** @type {string} */ kind, more = {}) => {
    const words = say(says, { n: round });
    return press(words, () => go("ruling", { event, words, kind, values: { entry, ...more } }));
  };
  return box("section", "pit-acts", [
    box("h2", "", say("referee_decides")),
    rule("yellow_card", "card", { colour: "yellow" }),
    rule("red_card", "card", { colour: "red" }),
    rule("disqualify", "disqualified"),
    rule("disregard", "disregarded", { round }),
    rule("call_in", "called_in", { round }),
  ]);
}

/** Kept with its reason. @type {import("./shown.js").Page} */
export function ruling({ shown, context }) {
  const { words, event, kind, values } = view.of;
  const put = (/** @type {string} */ reason) => store(context, [{ event, kind, values, reason }]);
  return [box("h1", "", words), box("p", "phone-line-up", who(shown, values.entry)), reasonPicker(["why_referee"], put)];
}

/** Somebody who is not on the list jumps; the desk looks later. @type {import("./shown.js").Page} */
export function add({ shown, context }) {
  const [name, school, bib, year] = [line(say("name"), "", 120), line(say("school")), line(say("bib"), "", 8), line(say("year"), "", 12)];
  const events = shown.events.filter((event) => !event.over);
  const put = (/** @type {number} */ event) => {
    if (!name.input.value.trim()) return name.input.focus();
    const entry = `new-${newId()}`;
    const text = (/** @type {{ input: HTMLInputElement }} */ { input }) => input.value.trim();
    const named = { name: text(name), school: text(school), bib: text(bib), year: text(year) };
    void store(context, [{ event, kind: "added", values: { entry }, named }], () => go("one", entry));
  };
  return [
    box("h1", "", say("not_on_list")),
    box("p", "", say("added_pending")),
    box("section", "pit-form", [
      name.whole, school.whole, bib.whole, year.whole,
      ...events.map((event) => press(say("add_to", { event: event.name }), () => put(event.id), { className: "main big" })),
    ]),
  ]; // prettier-ignore
}

/** Another board from the next trial on, with what is known of reaching the sand. @type {import("./shown.js").Page} */
export function board({ shown, context }) {
  const entry = view.of;
  const person = shown.people[entry];
  const boards = eventOf(shown, person.event)?.boards ?? [];
  const buttons = boards.map(({ cm, shown: words, low, high }) => {
    const reach = person.reaches?.[cm] ?? "";
    const range = low && high ? say("range", { range: `${markShown(low, shown.unit)}–${markShown(high, shown.unit)}` }) : "";
    const set = () => store(context, [{ event: person.event, kind: "board_set", values: { entry, board_cm: cm } }]);
    return press(words, set, { className: "big", small: [range, reach].filter(Boolean).join(" · "), pressed: cm === person.board_cm });
  });
  return [box("h1", "", say("which_board")), box("p", "phone-line-up", who(shown, entry)), ...(person.reach ? [box("p", "warning", person.reach)] : []), box("div", "phone-choose", buttons)];
}
