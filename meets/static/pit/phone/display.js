// For athletes: who is up, the clock, the last trial. Readable at ten metres; nothing else.

import { eventOf } from "./overlay.js";
import { box, press } from "./pressing.js";
import { left, nextUp } from "./up.js";
import { say } from "./words.js";

const TICK_MS = 200;
const LOOK = "display inverted";
let ticking = 0;
let asked = false;

/** @type {import("./shown.js").Page} */
export function display({ shown, context }) {
  if (!asked) {
    asked = true;
    void context.getDraft(LOOK).catch(() => null).then((/** @type {any} */ dark) => document.body.classList.toggle("inverted", dark === true));
  }
  const up = nextUp(shown);
  const person = up && shown.people[up.entry];
  const event = up && eventOf(shown, up.event);
  const clock = shown.clock;
  const face = box("p", "show-clock");
  clearInterval(ticking);
  const tick = () => {
    const s = left(clock, context.now());
    face.textContent = s ? String(s) : say("clock_over");
    face.classList.toggle("warned", clock.started !== null && s <= (event?.warning ?? 0));
  };
  if (clock && up && clock.turn === up.turn && clock.started !== null) {
    tick();
    ticking = setInterval(tick, TICK_MS);
  }
  const last = shown.last[0];
  const invert = press(say("invert"), () => {
    const dark = document.body.classList.toggle("inverted");
    void context.setDraft(LOOK, dark).catch(() => null);
  }, { className: "show-invert" }); // prettier-ignore
  const stopped = shown.events.find((one) => one.suspended);
  return [
    box("section", "show", [
      ...(stopped ? [box("p", "show-name show-stopped", say("stopped"))] : []),
      ...(person ? [box("div", "show-bib", person.bib), box("div", "show-name", [person.name, box("small", "", up.title)])] : [box("p", "show-name", say("nobody_up"))]),
      face,
      ...(last ? [box("p", "show-last", [box("span", "bib", last.bib), " ", box("span", "mark", last.shown), " ", box("span", "wind", last.wind)])] : []),
    ]),
    invert,
  ];
}
