// Putting right what was written: each time a new row with its reason; the old one is kept.

import { trialOf, turnOf } from "./overlay.js";
import { store } from "./people.js";
import { box, go, press, turned, view } from "./pressing.js";
import { link, openProtests } from "./round.js";
import { draftOf, reasonPicker, stepOf, trial, which } from "./trial.js";
import { nameOf, series, upCard, who } from "./up.js";
import { say } from "./words.js";

/** @typedef {import("./shown.js").Trial} Trial */

/** Trials that were written, to choose one. @type {import("./shown.js").Page} */
export function written({ shown }) {
  const to = view.of;
  const rows = Object.keys(shown.people).flatMap((entry) =>
    (shown.series[entry] ?? []).filter((one) => one.shown && !one.void).map((one) => ({ entry, one })),
  );
  const at = new Map(shown.last.map((one, i) => [one.turn, i]));
  const place = (/** @type {Trial} */ one) => at.get(one.turn) ?? 99 - one.round;
  const order = (/** @type {{ entry: string }} */ { entry }) => Number(shown.people[entry].order ?? 0);
  rows.sort((a, b) => place(a.one) - place(b.one) || order(b) - order(a));
  return [
    box("h1", "", say(to)),
    box("ul", "pit-people", rows.map(({ entry, one }) => box("li", "", [
      press([...who(shown, entry), box("span", "mark", one.shown), box("small", "", say("round_n", { n: one.round }))], () => go(to, one.turn), { className: "phone-row" }),
    ]))),
    ...(to === "protest" ? [press(say("protest_event"), () => go("protest", null), { className: "big" })] : []),
  ]; // prettier-ignore
}

/** The trial is looked at as it stood when the page was opened: that is what a correction replaces. */
let seen = /** @type {{ turn: string, old: Trial, draft: import("./shown.js").Draft | null } | null} */ (null);

/** @type {import("./shown.js").Page} */
export function right({ shown, context }) {
  const turn = view.of;
  if (seen?.turn !== turn) {
    const old = trialOf(shown, turn);
    seen = old ? { turn, old, draft: null } : null;
  }
  if (!seen) return [box("p", "warning", say("nothing_stands"))];
  const { old, draft } = seen;
  const { entry, round, replacement } = turnOf(turn);
  const event = shown.people[entry].event;
  const close = () => {
    seen = null;
    go("");
  };
  if (draft) {
    const now = box("div", "pit-now", [upCard(shown, draft, []), trial(draft, shown, context, { key: `right ${turn}`, done: close, leave: close })]);
    now.dataset.at = stepOf(draft, shown, context);
    return [now];
  }
  const correct = () => {
    if (seen) seen.draft = draftOf(which(turn, event), { old });
    turned();
  };
  const open = (/** @type {string} */ page) => () => go(page, { turn, old });
  return [
    box("h1", "", say("put_right")),
    box("p", "phone-line-up", who(shown, entry)),
    box("p", "pit-stands", [box("span", "mark", old.shown), " ", box("span", "wind", old.wind)]),
    ...(old.settled && !context.decides ? [box("p", "warning", say("settled_already"))] : []),
    box("div", "phone-choose", [
      press(say("written_wrong"), correct, { className: "big" }),
      press(say("wind_wrong"), () => go("wind", { turn, event, old: old.wind_rows }), { className: "big" }),
      press(say("another_jumped"), open("move"), { className: "big" }),
      press(say("replacement"), () => go("replacement", turn), { className: "big" }),
      press(say("protest"), () => go("protest", turn), { className: "big" }),
      press(say("nobody_jumped"), open("take_back"), { className: "big" }),
    ]),
    box("p", "quiet", say("kept_row", { round, n: replacement })),
  ];
}

/** A trial belongs to the body that jumped. @type {import("./shown.js").Page} */
export function move({ shown, context }) {
  const { turn, old, to } = view.of;
  const { entry, round, replacement } = turnOf(turn);
  const event = shown.people[entry].event;
  if (!to) {
    const open = (/** @type {string} */ one) => Number(shown.queue.some((turn) => turn.entry === one && turn.round === round));
    const others = Object.keys(shown.people).filter((one) => one !== entry && shown.people[one].event === event);
    others.sort((a, b) => open(b) - open(a)); // Who jumped has most likely no trial in this round.
    const rows = others.map((one) => box("li", "", [press(who(shown, one), () => go("move", { turn, old, to: one }), { className: "phone-row" })]));
    return [box("h1", "", say("who_jumped")), box("ul", "pit-people", rows)];
  }
  // Two trials of one bib in a round: which was second is for the referee. And all that is said of a trial goes with it.
  const has = (shown.series[to] ?? []).some((one) => one.round === round && one.shown && !one.void);
  const more = old.disputed || old.wind_disputed || shown.protests.some((/** @type {any} */ one) => one.turn === turn);
  if (has || more) {
    const page = `${shown.links?.session ?? "/pit/"}trial/${entry}/${round}/${replacement}/`;
    const says = has ? say("has_one", { bib: nameOf(shown, to).bib }) : say("more_than_one");
    return [box("p", "warning", says), box("p", "phone-line-up", series(shown, has ? to : entry)), link(say("server_page"), page)];
  }
  const turned = { ...(replacement && { replacement }) };
  // Where a replacement trial was given, that is the turn that is open.
  const again = shown.queue.find((one) => one.entry === to && one.round === round)?.replacement;
  const turnTo = { entry: to, round, ...(again && { replacement: again }) };
  const fail = old.reason && shown.reasons?.[event]?.find((/** @type {any} */ one) => one.says === old.reason)?.value;
  const put = (/** @type {string} */ reason) => {
    const { result, mark, board_cm } = old;
    const values = { ...turnTo, result, ...(mark && { mark }), ...(fail && { reason: fail }), ...(board_cm && { board_cm }) };
    const rows = [
      { kind: "voided", values: { entry, round, ...turned, moved_to: to }, supersedes: [...old.rows, ...old.wind_rows] },
      { kind: "jumped", values, supersedes: old.rows },
      ...(old.wind_rows.length ? [{ kind: "wind_read", values: { ...turnTo, tenths: old.wind_tenths }, supersedes: old.wind_rows }] : []),
    ];
    return store(context, rows.map((row) => ({ event, reason, ...row }))); // prettier-ignore
  };
  return [box("h1", "", say("moves_to", { bib: nameOf(shown, to).bib })), reasonPicker(["why_wrong_bib", "why_out_of_order"], put)];
}

/** @type {import("./shown.js").Page} */
export function takeBack({ shown, context }) {
  const { turn, old } = view.of;
  const { entry, round, replacement } = turnOf(turn);
  const values = { entry, round, ...(replacement && { replacement }) };
  const row = { event: shown.people[entry].event, kind: "voided", values, supersedes: [...old.rows, ...old.wind_rows] };
  return [box("h1", "", say("nobody_jumped")), reasonPicker(["why_twice", "why_button"], (reason) => store(context, [{ ...row, reason }]))];
}

/** @type {import("./shown.js").Page} */
export function replacement({ shown, context }) {
  const { entry, round, replacement } = turnOf(view.of);
  const values = { entry, round, ...(replacement && { replacement }) };
  const row = { event: shown.people[entry].event, kind: "replaced", values };
  const usual = ["why_hampered", "why_raked", "why_tape", "why_board"];
  return [
    box("h1", "", say("replacement")),
    box("p", "phone-line-up", who(shown, entry)),
    box("p", "", say("referee_gives")),
    reasonPicker(usual, (reason) => store(context, [{ ...row, reason }])),
  ];
}

/** @type {import("./shown.js").Page} */
export function protest({ shown, context }) {
  const turn = view.of;
  const about = turn ? turnOf(turn) : null;
  const lodge = (/** @type {number} */ event, /** @type {string} */ reason) => {
    const taken = new Set(shown.protests.map((/** @type {any} */ one) => one.protest));
    const wanted = turn ?? say("protest");
    let name = wanted;
    for (let n = 2; taken.has(name); n++) name = `${wanted} (${n})`;
    const of = about ? { entry: about.entry, round: about.round, ...(about.replacement && { replacement: about.replacement }) } : {};
    return store(context, [{ event, kind: "protest_lodged", values: { protest: name, ...of }, reason }]);
  };
  const events = about ? [shown.people[about.entry].event] : shown.events.map(({ id }) => id);
  const names = (/** @type {number} */ id) => shown.events.find((event) => event.id === id)?.name ?? "";
  return [
    box("h1", "", say("protest")),
    ...(about ? [box("p", "phone-line-up", who(shown, about.entry))] : []),
    ...openProtests(shown, (one) => one.turn === (turn ?? "")),
    box("p", "", say("protest_says")),
    ...events.flatMap((event) => [...(about ? [] : [box("h2", "", names(event))]), reasonPicker(["why_flag_protest", "why_measure_protest", "why_other_protest"], (reason) => lodge(event, reason))]),
  ];
}
