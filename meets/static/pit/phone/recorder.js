// The screen of the recorder, and of the second recorder, who writes the same without seeing the first record.

import { eventOf, trialOf } from "./overlay.js";
import { box, go, press, turned, view } from "./pressing.js";
import { alarms, atRoundEnd, notices, waiting } from "./round.js";
import { draftOf, stepOf, trial } from "./trial.js";
import { clockButtons, nextUp, soon, upCard, who } from "./up.js";
import { say } from "./words.js";

/** @typedef {import("./shown.js").Shown} Shown */
/** @typedef {import("./types.js").Context} Context */

/** @type {import("./shown.js").Draft | null} */
let draft = null;
let loaded = "";

/** A turn chosen by hand. @param {import("./shown.js").Which} turn */
export function record(turn) {
  draft = draftOf(turn, { picked: true });
  go("");
}

/** @type {import("./shown.js").Page} */
export function recorder({ shown, context }) {
  const key = `trial ${context.session} ${context.role}`;
  if (loaded !== key) {
    // What was being typed when the page was shut.
    const before = !loaded || draft?.picked ? draft : null; // (not what was begun in another role)
    void context.getDraft(key).catch(() => null).then((/** @type {any} */ kept) => {
      loaded = key;
      draft = before ?? (kept && !trialOf(shown, kept.turn)?.shown ? kept : null);
      context.redraw();
    });
    return [];
  }
  const up = nextUp(shown);
  if (draft && !draft.flag && !draft.picked && draft.turn !== up?.turn) draft = null;
  if (!draft && up) draft = draftOf(up);
  const second = context.role === "second" ? [box("p", "phone-second", say("second_record"))] : [];
  if (!draft) return [...second, ...notices(shown, context), ...atRoundEnd(shown, context), ...below(shown, "")];
  const d = draft;
  d.board = shown.people[d.entry]?.board_cm;
  const leave = () => {
    draft = null;
    void context.setDraft(key, undefined).catch(() => null);
    turned();
  };
  const done = () => {
    draft = null;
    go("");
  };
  const open = shown.queue.find((one) => one.turn === d.turn);
  const step = stepOf(d, shown, context);
  const tools = [...clockButtons(shown, open ?? d, context), press(say("not_here"), () => go("one", d.entry)), press(say("another_bib"), () => go("pick"))];
  const written = trialOf(shown, d.turn);
  const by_hand = d.picked && d.turn !== up?.turn;
  const card = upCard(shown, d, [
    ...(by_hand ? [box("p", "warning", say("by_hand"))] : []),
    ...(open?.why ? [box("p", "warning", open.why)] : []),
    ...(written?.shown ? [box("p", "warning", say("written_already", { shown: written.shown }))] : []),
    box("p", "pit-athlete-link", tools),
  ]);
  const now = box("div", "pit-now", [card, trial(d, shown, context, { key, done, ...((by_hand || d.flag) && { leave }) })]);
  now.dataset.at = step;
  // The flags stay on the screen: of what has to be known only the gravest stands above them, and says of the others.
  const grave = (/** @type {Node} */ one) => Number(/** @type {Element} */ (one).classList.contains("alarm"));
  const known = step === "flag" ? [...alarms(shown), ...waiting(shown, context)] : [];
  const [first, ...rest] = known.sort((a, b) => grave(b) - grave(a));
  if (rest.length) first.appendChild(box("small", "phone-more", say("more_below", { n: rest.length })));
  const above = first ? [first] : [];
  return [...second, ...above, heading(shown, d, open), now, ...rest, ...below(shown, d.turn)];
}

/** @param {Shown} shown @param {import("./shown.js").Draft} d @param {import("./shown.js").OpenTurn | undefined} open */
function heading(shown, d, open) {
  const turn = open?.of ? say("turn_of", { n: open.number, of: open.of }) : "";
  const words = [eventOf(shown, d.event)?.name, open?.title ?? say("round_n", { n: d.round }), open?.flight, turn];
  return box("h1", "phone-round", words.filter(Boolean).join(" · "));
}

/** @param {Shown} shown @param {string} turn @returns {Node[]} */
function below(shown, turn) {
  const row = (/** @type {import("./shown.js").Last} */ one) => {
    const state = box("span", "wind phone-who", [one.wind, box("small", "", say(one.looked ? "desk_looks" : one.own ? "on_this_phone" : "with_server"))]);
    const words = [box("span", "bib", one.bib), box("span", "mark", one.shown), state, box("span", "pit-put-right", say("put_right"))];
    return press(words, () => go("right", one.turn), { className: "phone-row" });
  };
  const last = shown.last.map((one) => box("li", "", [row(one)]));
  return [
    box("div", "pit-below", [
      ...soon(shown, turn),
      ...(last.length ? [box("section", "pit-last", [box("h2", "", say("written_last")), box("ul", "", last)])] : []),
      box("nav", "pit-tools", [
        press(say("everybody"), () => go("all")),
        press(say("places"), () => go("places")),
        press(say("check_round"), () => go("round")),
        press(say("measure_board"), () => go("measure")),
        press(say("gauge"), () => go("gauge")),
      ]),
    ]),
    box("nav", "phone-always", [
      ...shown.last.slice(0, 1).map((one) => box("div", "phone-newest", [row(one)])),
      press(say("jumped_out_of_order"), () => go("pick")),
      press(say("replacement"), () => go("written", "replacement")),
      press(say("protest"), () => go("written", "protest")),
      press(say("stop"), () => go("stop"), { className: "phone-stop" }),
    ]),
  ];
}

/** Whoever jumped: the order that was given first, then everybody. @type {import("./shown.js").Page} */
export function pick({ shown }) {
  const open = new Set(shown.queue.map(({ entry }) => entry));
  const turns = [...new Map([...shown.queue].reverse().map((one) => [one.entry, one])).values()].reverse();
  const others = Object.keys(shown.people).filter((entry) => !open.has(entry));
  const row = (/** @type {string} */ entry, /** @type {string} */ small, /** @type {() => void} */ then) =>
    box("li", "", [press([...who(shown, entry), box("small", "", small)], then, { className: "phone-row" })]);
  return [
    box("h1", "", say("who_jumped")),
    box("ul", "pit-people", [
      ...turns.map((one) => row(one.entry, say("round_n", { n: one.round }), () => record(one))),
      ...others.map((entry) => row(entry, shown.people[entry].status || say("no_open_turn"), () => go("round_of", entry))),
    ]),
    press(say("not_on_list"), () => go("add"), { className: "big" }),
  ];
}

/** A turn that this phone does not know: the official says which round. @type {import("./shown.js").Page} */
export function roundOf({ shown }) {
  const entry = view.of;
  const event = eventOf(shown, shown.people[entry]?.event);
  const known = [...shown.queue, ...Object.values(shown.series).flat()].map(({ round }) => round);
  const rounds = Array.from({ length: Math.max(1, Number(event?.rounds ?? 0), ...known) }, (_, i) => i + 1);
  const taken = new Set((shown.series[entry] ?? []).filter((one) => one.shown && !one.void).map(({ round }) => round));
  const buttons = rounds.filter((round) => !taken.has(round)).map((round) =>
    press(say("round_n", { n: round }), () => record({ turn: `${entry}-${round}-0`, event: event?.id ?? 0, entry, round, replacement: 0 }), { className: "big" }),
  ); // prettier-ignore
  return [box("h1", "", say("which_round")), box("p", "phone-line-up", who(shown, entry)), box("div", "phone-choose", buttons)];
}
