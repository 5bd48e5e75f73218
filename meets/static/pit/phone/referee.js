// The referee: what differs, what is owed, who is away, protests, alarms; and what only a referee signs.

import { store } from "./people.js";
import { forAll } from "./pit.js";
import { box, go, press, view } from "./pressing.js";
import { atRoundEnd, link, notices } from "./round.js";
import { reasonPicker } from "./trial.js";
import { who } from "./up.js";
import { turnOf } from "./overlay.js";
import { say } from "./words.js";

/** @typedef {import("./shown.js").Shown} Shown */

const SETTLED = ["why_measurer", "why_first", "why_second", "why_referee"];

/** @type {import("./shown.js").Page} */
export function referee({ shown, context }) {
  const out = new Map(shown.queue.filter((one) => one.away).map((one) => [one.entry, one.away]));
  const open = shown.protests.filter((/** @type {any} */ one) => one.upheld === null);
  const part = (/** @type {string} */ title, /** @type {Node[]} */ rows) => (rows.length ? [box("section", "phone-part", [box("h2", "", say(title)), box("ul", "pit-people", rows)])] : []);
  const row = (/** @type {(Node | string)[]} */ inside, /** @type {() => void} */ then) => box("li", "", [press(inside.map((one) => (typeof one === "string" ? box("small", "", one) : one)), then, { className: "phone-row" })]);
  const stopped = shown.events.some((event) => event.suspended);
  const unready = shown.events.some((event) => !event.ready && !event.over);
  const parts = [
    ...part("differences", shown.disputes.map((/** @type {any} */ one) => row([...who(shown, one.entry), one.values.map((/** @type {any} */ v) => v.shown).join(" / ")], () => go("settle", one)))),
    ...part("owed", shown.owed.map((/** @type {any} */ one) => row([...who(shown, one.entry), say("round_n", { n: one.round })], () => go("wind", { ...one, old: [] })))),
    ...part("protests", open.map((/** @type {any} */ one) => row([...(one.entry ? who(shown, one.entry) : []), one.reason || say("protest")], () => go("decide_protest", one)))),
    ...part("alarms", (shown.alarms ?? []).map((/** @type {any} */ one) => row([box("span", "", one.says)], () => go("alarm", one)))),
    ...part("leaves", [...out].map(([entry, away]) => row([...who(shown, entry), away], () => go("one", entry)))),
  ]; // prettier-ignore
  const away = context.status().link === "out of reach";
  return [
    ...notices(shown, context),
    ...(parts.length ? parts : [box("p", "done", say("nothing_open"))]),
    ...(shown.cut ? atRoundEnd(shown, context).slice(1) : []),
    box("nav", "pit-tools", [
      press(say("sand_and_board"), () => go("ready"), { className: unready ? "main" : "" }),
      stopped ? press(say("go_on"), () => store(context, forAll(shown, "resumed")), { className: "main" }) : press(say("stop"), () => go("stop"), { className: "phone-stop" }),
      press(say("check_round"), () => go("round")),
      press(say("replacement"), () => go("written", "replacement")),
      press(say("protest"), () => go("written", "protest")),
      press(say("put_right"), () => go("written", "right")),
      press(say("rulings"), () => go("all")),
      press(say("places"), () => go("places")),
      press(say("gauge"), () => go("gauge")),
    ]),
    box("section", "phone-part", [
      box("h2", "", say("on_server")),
      ...(away ? [box("p", "warning", say("needs_server"))] : shown.events.filter((event) => event.link).map((event) => link(say("decide_for", { event: event.name }), String(event.link)))),
      box("p", "", say("at_desk")),
    ]),
  ];
}

/** One of two values stands, or nobody knows: then a replacement trial. @type {import("./shown.js").Page} */
export function settle({ shown, context }) {
  const { turn, event, entry, what, values, chosen } = view.of;
  const { round, replacement } = turnOf(turn);
  const head = [box("h1", "", say("differences")), box("p", "phone-line-up", who(shown, entry))];
  if (!chosen) {
    const choose = values.map((/** @type {any} */ one) => press(one.shown, () => go("settle", { ...view.of, chosen: one }), { className: "phone-value", small: `${one.recorder}, ${one.by}` }));
    const again = what === "trial" ? [press(say("replacement"), () => go("replacement", turn), { className: "big" })] : [];
    return [...head, box("p", "", say("hear_both")), box("div", "phone-choose", [...choose, ...again])];
  }
  const supersedes = values.flatMap((/** @type {any} */ one) => one.rows);
  const which = { entry, round, ...(replacement && { replacement }) };
  const said = what === "wind" ? { tenths: chosen.values.tenths ?? null } : chosen.values;
  const row = { event, kind: what === "wind" ? "wind_read" : "jumped", values: { ...said, ...which }, supersedes };
  return [...head, box("p", "pit-stands", [box("span", "mark", chosen.shown)]), reasonPicker(SETTLED, (reason) => store(context, [{ ...row, reason }]))];
}

/** @type {import("./shown.js").Page} */
export function decideProtest({ shown, context }) {
  const { protest, event, entry, reason, upheld } = view.of;
  const head = [box("h1", "", say("protest")), ...(entry ? [box("p", "phone-line-up", who(shown, entry))] : []), box("p", "", reason)];
  if (typeof upheld !== "boolean") {
    const choose = (/** @type {boolean} */ upheld) => press(say(upheld ? "upheld" : "dismissed"), () => go("decide_protest", { ...view.of, upheld }), { className: "big" });
    return [...head, box("div", "phone-choose", [choose(true), choose(false)])];
  }
  const put = (/** @type {string} */ why) => store(context, [{ event, kind: "protest_decided", values: { protest, upheld }, reason: why }]);
  return [...head, box("p", "pit-sentence", say(upheld ? "upheld" : "dismissed")), reasonPicker(["why_judge", "why_measurer", "why_referee"], put)];
}

/** @type {import("./shown.js").Page} */
export function alarm({ context }) {
  const { event, key, says } = view.of;
  const put = (/** @type {string} */ reason) => store(context, [{ event, kind: "alarm_settled", values: { alarm: key }, reason }]);
  return [box("h1", "", say("alarms")), box("p", "pit-sentence", says), reasonPicker(["why_stays", "why_referee"], put)];
}
