// What is pressed, and which page of a screen is open. Rain and gloves tap twice: a tap so soon after the screen has
// changed was meant for what stood there before.

import { part, put } from "./part.js";

const GHOST_MS = 400;
const CLICK_MS = 100; // A click comes so long after the finger is lifted.

/** The page that is open, and what it is about. */
export const view = { page: "", of: /** @type {any} */ (null) };
let since = 0;
let drawn = -1;
let down = false;
let redraw = () => {};
/** @type {(() => void) | null} */
let waiting = null;

addEventListener("pointerdown", () => (down = true), true);
for (const end of ["pointerup", "pointercancel"]) addEventListener(end, () => setTimeout(free, CLICK_MS), true);

function free() {
  down = false;
  waiting?.();
  waiting = null;
}

/** Draw now, or when the finger is lifted: what it is on must not go away under it. @param {() => void} draw */
export function whenFree(draw) {
  if (down) waiting = draw;
  else draw();
}

/** The screen asks something else now: draw it. */
export function turned() {
  since = performance.now();
  redraw();
}

/** What draws the page anew. @param {() => void} draw */
export function drawnBy(draw) {
  redraw = draw;
}

/** @param {string} page @param {any} [of] */
export function go(page, of = null) {
  Object.assign(view, { page, of });
  turned();
  scrollTo(0, 0);
}

/** Whether the page has been drawn since it was opened: then what is being written there stays as it is. */
export function standsAlready() {
  return drawn === since;
}

/**
 * Show these; whoever moves by keyboard or switch stays where they were.
 * @param {HTMLElement} root
 * @param {(Node | string)[]} parts
 */
export function fill(root, parts) {
  const at = /** @type {HTMLElement | null} */ (document.activeElement)?.dataset.id;
  put(root, parts);
  const find = (/** @type {string} */ where) => /** @type {HTMLElement | null} */ (root.querySelector(where));
  const first = drawn === since ? null : find("[data-first]");
  (first ?? (at ? find(`[data-id="${CSS.escape(at)}"]`) : null))?.focus({ preventScroll: true });
  drawn = since;
}

/**
 * A button. `key`: pressed by that key as well. `first`: has the focus when the page opens.
 * @param {string | Node[]} words
 * @param {() => unknown} then
 * @param {{ className?: string, key?: string, small?: string, first?: boolean, pressed?: boolean, label?: string }} [set]
 */
export function press(words, then, { className = "", key = "", small = "", first, pressed, label } = {}) {
  const button = part("button", { type: "button", className }, words);
  if (small) button.append(part("small", {}, small));
  if (key) button.dataset.key = key;
  if (first) button.dataset.first = "";
  if (label) button.ariaLabel = label;
  if (pressed !== undefined) button.ariaPressed = String(pressed);
  button.dataset.id = key || button.textContent || "";
  button.addEventListener("click", (event) => {
    down = false;
    // A key press has no place on the screen. What saves is guarded against a held key too.
    if ((event.detail || first) && performance.now() - since < GHOST_MS) return;
    void then();
  });
  return button;
}

document.addEventListener("keydown", (event) => {
  const { target, key, repeat } = event;
  if (event.ctrlKey || event.metaKey || event.altKey || (target instanceof HTMLInputElement && target.type === "text")) return;
  if (key === "Enter" && (repeat || target instanceof HTMLButtonElement)) return repeat ? event.preventDefault() : undefined;
  const button = document.querySelector(`#screen [data-key="${CSS.escape(key.toLowerCase())}"]`);
  if (!button) return;
  event.preventDefault();
  /** @type {HTMLElement} */ (button).click();
});

/** @param {string} tag @param {string} className @param {string | (Node | string)[]} [inside] */
export function box(tag, className, inside) {
  return part(/** @type {"div"} */ (tag), { className }, inside);
}

/**
 * A line to write in, with its label.
 * @param {string} label
 * @param {string} [value]
 * @param {number} [maxLength]
 */
export function line(label, value = "", maxLength = 80) {
  const input = part("input", { type: "text", value, maxLength, autocomplete: "off" });
  return { input, whole: part("label", { className: "phone-line" }, [label, input]) };
}
