// What the whole pit has to know: stops, decisions that are due, the check at the end of a round, the cut to be read out.

import { part } from "./part.js";
import { box, go, press } from "./pressing.js";
import { series, who } from "./up.js";
import { say } from "./words.js";

/** @typedef {import("./shown.js").Shown} Shown */
/** @typedef {import("./types.js").Context} Context */

/** @param {string} words @param {string} href */
export function link(words, href) {
  return part("a", { className: "button", href }, words);
}

const away = (/** @type {Context} */ context) => context.status().link === "out of reach";

/** What has to be known before anybody jumps. @param {Shown} shown @returns {Node[]} */
export function alarms(shown) {
  const found = /** @type {Node[]} */ ([]);
  for (const { name, suspended, ready, over, no_gauge } of shown.events) {
    if (suspended) found.push(box("p", "alarm pit-stopped", say("stopped_because", { event: name, why: suspended })));
    else if (!ready && !over) found.push(box("p", "warning", say("not_ready", { event: name })));
    if (no_gauge && !over) found.push(box("p", "note", say("no_gauge_now", { event: name })));
  }
  for (const { says } of shown.missing ?? []) found.push(box("p", "alarm", says));
  for (const says of shown.beside ?? []) found.push(box("p", "alarm", says));
  for (const { key, says } of shown.alarms ?? []) if (key.startsWith("board ")) found.push(box("p", "alarm", says));
  return found;
}

/** Protests that nobody has decided. @param {Shown} shown @param {(one: any) => boolean} [which] @returns {Node[]} */
export const openProtests = (shown, which = () => true) =>
  shown.protests
    .filter((/** @type {any} */ one) => one.upheld === null && which(one))
    .map((/** @type {any} */ { bib, reason: why }) => box("p", "warning", bib ? say("protest_open", { bib, why }) : say("protest_open_event", { why })));

/** What waits. @param {Shown} shown @param {Context} context @returns {Node[]} */
export function waiting(shown, context) {
  const found = /** @type {Node[]} */ ([]);
  if (shown.check) found.push(checkLine(shown.check));
  if (context.role !== "referee") found.push(...openProtests(shown)); // (who has a list of them)
  for (const { kind, says, link: href, board_cm } of shown.due ?? []) {
    if (kind === "ready") continue; // (said above)
    const here = HERE[kind];
    const then = here ? [press(say("look"), () => go(here, board_cm && { cm: board_cm }))] : href ? decides(context, "decide", href) : [];
    found.push(box("div", "pit-line", [box("p", "", says), ...then]));
  }
  return found;
}

/** What is due and done on the phone itself, by the page for it. @type {Partial<Record<string, string>>} */
const HERE = { measure: "measure", away: "all" };

/** The way to a decision, for whoever takes it; it is taken on a page of the server. @param {Context} context @param {string} words @param {string} href */
const decides = (context, words, href) => [
  !context.decides ? box("strong", "", say("referee_decides")) : away(context) ? box("strong", "", say("needs_server")) : link(say(words), href),
];

/** Both. @param {Shown} shown @param {Context} context */
export const notices = (shown, context) => [...alarms(shown), ...waiting(shown, context)];

/** @param {any} check */
function checkLine({ says, differences }) {
  return box("div", differences.length ? "pit-line unready" : "pit-line", [box("p", "", says), press(say("look"), () => go("round"))]);
}

/** Nobody is up. @param {Shown} shown @param {Context} context @returns {Node[]} */
export function atRoundEnd(shown, context) {
  const over = shown.events.length > 0 && shown.events.every((event) => event.over || event.closed);
  const words = over ? "all_over" : away(context) ? "cut_needs_laptop" : "nobody_up";
  return [box("p", "pit-due", say(words)), ...cut(shown, context)];
}

/** The proposal of the cut, to be read out. @param {Shown} shown @param {Context} context @returns {Node[]} */
function cut({ cut: proposed }, context) {
  if (!proposed) return [];
  const { says, order, out, first_out, link: href } = proposed;
  const row = (/** @type {any} */ one) => box("li", "", [box("span", "bib", one.bib), ` ${one.name} ${one.best ?? ""}`, ...(one.says ? [box("small", "", one.says)] : [])]);
  return [
    box("section", "phone-cut", [
      box("h2", "", says),
      box("ol", "pit-order", order.map(row)),
      ...(first_out ? [box("p", "pit-sentence", first_out)] : []),
      box("ul", "pit-out", out.map(row)),
      ...decides(context, "decide_cut", href),
    ]),
  ];
}

/** Both records of a round, read aloud bib by bib. @type {import("./shown.js").Page} */
export function roundPage({ shown, context }) {
  const check = shown.check;
  const round = check?.round ?? Math.max(1, ...shown.last.map((one) => Number(one.turn.split("-").at(-2))));
  const differences = (check?.differences ?? []).map((/** @type {any} */ one) =>
    box("li", "alarm", [box("span", "bib", one.bib), " ", say("own_other", { own: one.own || say("nothing_yet"), other: one.other || say("nothing_yet") })]),
  );
  const entries = Object.entries(shown.people).sort(([, a], [, b]) => Number(a.order ?? 0) - Number(b.order ?? 0));
  const rows = entries.map(([entry]) => {
    const here = shown.series[entry]?.find((one) => one.round === round && !one.void);
    return box("li", "", [...who(shown, entry), box("span", "mark", here?.shown || "…"), box("span", "wind", here?.wind ?? "")]);
  });
  return [
    box("h1", "", say("round_n", { n: round })),
    box("p", differences.length ? "alarm" : check && !check.missing?.length ? "done" : "note", check?.says ?? say("check_later")),
    ...(check?.asks ?? []).map((/** @type {string} */ one) => box("p", "warning", one)),
    box("ul", "phone-list", differences),
    box("p", "", say("read_round")),
    box("ul", "phone-list", rows),
    ...cut(shown, context),
  ];
}

/** As the server last said; never worked out here. @type {import("./shown.js").Page} */
export function places({ shown, context }) {
  const at = new Date(shown.now).toTimeString().slice(0, 5);
  const rows = (/** @type {any} */ table) =>
    table.rows.map((/** @type {any} */ row) =>
      box("li", "", [box("span", "pit-place", row.place), box("span", "bib", row.bib), box("span", "phone-who", [row.name, box("small", "", row.status || row.why)]), box("span", "mark", row.best)]),
    );
  return [
    box("h1", "", say("places")),
    ...(away(context) || context.own.some((one) => one.waiting) ? [box("p", "warning", say("places_as_of", { time: at }))] : []),
    ...(shown.places ?? []).map((/** @type {any} */ table) =>
      box("section", "", [box("h2", "", shown.events.find(({ id }) => id === table.event)?.name ?? ""), box("ol", "phone-list", rows(table))]),
    ),
  ];
}

/** Everybody's series. @param {Shown} shown @param {string} entry */
export const seriesLine = (shown, entry) => box("p", "pit-series", series(shown, entry));
