// The page of an official's phone: comes in with a code, says how things stand, and shows the screen of the role.

import { choose, comeIn, takeKey } from "./join.js";
import { openOutbox, tidy } from "./outbox.js";
import { overlay } from "./overlay.js";
import { part, put } from "./part.js";
import { whenFree } from "./pressing.js";
import { screenOf } from "./screens.js";
import { keepShell } from "./shell.js";
import { startSync } from "./sync.js";
import { say } from "./words.js";

/** @typedef {import("./types.js").PhoneState} PhoneState */

const LEAST_FREE_BYTES = 50 * 1024 * 1024;
const CLOCK_OFF_MS = 120_000;
const MINUTE_MS = 60_000;

/** @param {string} id */
const here = (id) => /** @type {HTMLElement} */ (document.getElementById(id));
const root = here("screen");
const { version, worker, scope } = /** @type {{ version: string, worker: string, scope: string }} */ (
  /** @type {unknown} */ (document.body.dataset)
);

/** @type {import("./outbox.js").Outbox} */
let outbox;
/** @type {ReturnType<typeof startSync>} */
let sync;
/** @type {import("./types.js").Status} */
let status;
/** @type {PhoneState | null} */
let state = null;
/** @type {{ session: number, role: import("./types.js").Role } | null} */
let place = null;
/** @type {import("./types.js").Lost | null} */
let lost = null;
let unsaved = false;
/** The browser stores nothing. */
let broken = false;
/** The code that was scanned and is not used yet, also while it cannot be stored. */
let scanned = "";
/** Somebody else writes than before, and the log does not say so yet. */
let handed = false;
let tight = false;
let asking = true;
let drawing = false;
const shell = keepShell(worker, scope, () => drawTop());

/** The parts of the running page; rejects when this browser cannot store anything. */
export const app = start();
app.catch((problem) => noStore(problem, reload));

async function start() {
  outbox = await openOutbox(version);
  scanned = takeKey();
  if (scanned) await outbox.setMeta("key", scanned);
  lost = await outbox.getMeta("lost");
  handed = Boolean(await outbox.getMeta("handed"));
  sync = startSync(outbox, {
    onStatus: (now) => {
      const before = status?.link;
      status = now;
      drawTop();
      if (now.link !== before) draw(); // (what needs the server is offered only while it is in reach)
    },
    onState: (now, fresh) => {
      state = now;
      draw();
      if (fresh) void tidyUp(now).catch(() => null); // (with the next state)
    },
  });
  status = sync.status();
  outbox.onChange(() => draw());
  addEventListener("hashchange", () => void comeAgain().catch(noStore));
  here("more").addEventListener("click", () => menu());
  addEventListener("beforeunload", (event) => {
    // Without HTTPS the page cannot be opened again while the server is out of reach.
    if (status.mode === "http" && status.link === "out of reach") event.preventDefault();
  });
  document.addEventListener("visibilitychange", () => void stayAwake());
  drawTop();
  void enter().catch(noStore);
  return { outbox, sync };
}

/**
 * The browser stores nothing any more: nothing can be recorded here, and the page says that before anybody tries.
 * @param {unknown} problem
 * @param {() => unknown} [again]
 */
function noStore(problem, again = enter) {
  if (!(problem instanceof DOMException)) reportError(problem);
  asking = broken = true;
  const retry = press("once_more", async () => {
    try {
      await again();
    } catch (problem) {
      noStore(problem, again);
    }
  });
  put(root, [part("h1", {}, say("no_store")), part("p", {}, say("no_store_why")), retry]);
  here("state").textContent = say("not_saved");
  here("state").className = "unsaved";
  drawTop();
}

/** With the code that opened the page, if it was not stored. */
function reload() {
  if (scanned) history.replaceState(null, "", `#k=${scanned}`);
  location.reload();
}

/** From wherever the phone stands to the screen of its role. */
async function enter() {
  asking = true;
  const key = scanned || (await outbox.getMeta("key"));
  if (key || !outbox.device()) await join(key ?? "");
  await settle();
}

/** @param {string} key */
async function join(key) {
  const before = outbox.device();
  const joined = await comeIn(root, { key, official: before?.official ?? "", app: version }, Boolean(before));
  if (!joined) {
    scanned = "";
    return outbox.setMeta("key", undefined);
  }
  await outbox.setDevice(joined);
  scanned = "";
  state = place = null;
  await handOn(before?.meet.id === joined.meet.id ? before.official : "", joined.official);
  await outbox.setMeta("place", undefined);
  void navigator.storage?.persist?.();
  sync.wake();
}

async function settle() {
  const joined = outbox.device();
  if (!joined) return;
  asking = true;
  const before = await outbox.getMeta("place");
  const session = joined.sessions.find((one) => one.id === before?.session) ??
    (await choose(root, say("which_session"), joined.sessions, (one) => `${one.pit}: ${one.name}`)); // prettier-ignore
  const role = joined.roles.find((one) => one === before?.role) ??
    (await choose(root, say("which_role"), joined.roles, (one) => say(`role_${one}`))); // prettier-ignore
  // What is known of the same place stays: out of reach, the copy on the disk may have made room for entries.
  if (place?.session !== session.id || place.role !== role) state = null;
  place = { session: session.id, role };
  await outbox.setMeta("place", place);
  asking = broken = false;
  if (!state) put(root, [part("h1", {}, session.name), part("p", {}, say("waiting_for_state"))]);
  document.body.dataset.role = role;
  void stayAwake();
  void measure();
  draw();
  await sync.watch(session.id, role);
}

/** Another code was scanned while this page is open. */
async function comeAgain() {
  const key = takeKey();
  if (!key) return;
  scanned = key;
  sync.unwatch();
  await outbox.setMeta("key", key);
  await enter();
}

// The screen

function draw() {
  if (drawing) return;
  drawing = true;
  queueMicrotask(() => {
    drawing = false;
    drawTop();
    whenFree(drawScreen);
  });
}

/** Looked at when it is drawn: meanwhile the menu may have been opened. */
function drawScreen() {
  if (asking || !state || !place || state.session.id !== place.session) return;
  void sayHandedOver(state, place);
  const device = outbox.device()?.device;
  // The state says what it holds of this phone as it came in last. Of what was written before, under another code, it
  // shows what stands; a second recorder must not see the first record that was written here.
  const isOwn = (/** @type {import("./types.js").Kept} */ { entry, waiting }) => entry.device === device || (waiting && entry.role === place?.role);
  const own = outbox.all().filter((kept) => kept.entry.session === place?.session && isOwn(kept));
  try {
    screenOf(place.role)(root, overlay(state, own), context(own));
  } catch (problem) {
    // A fault in a screen must not take away what stands above it.
    reportError(problem);
  }
}

/**
 * @param {import("./types.js").Kept[]} own
 * @returns {import("./types.js").Context}
 */
function context(own) {
  const { session, role } = /** @type {NonNullable<typeof place>} */ (place);
  return {
    own,
    session,
    role,
    say,
    official: outbox.device()?.official ?? "",
    decides: Boolean(outbox.device()?.roles.includes("referee")),
    now: () => Date.now() + outbox.offset,
    status: () => status,
    redraw: draw,
    setDraft: (key, value) => outbox.setDraft(key, value),
    getDraft: (key) => outbox.getDraft(key),
    setClock: (clock) => sync.setClock(session, clock),
    save: async (draft, clears) => {
      try {
        const entry = await outbox.save({ role, ...draft, session }, clears);
        unsaved = false;
        sync.kick();
        return entry;
      } catch (problem) {
        unsaved = true;
        throw problem;
      } finally {
        drawTop();
      }
    },
  };
}

// How things stand, in words

function drawTop() {
  if (!status) return;
  const { waiting, link, mode } = status;
  const now = here("state");
  const not = unsaved || broken;
  const all = outbox.device() ? say("all_sent") : "";
  now.textContent = not ? say("not_saved") : waiting ? say("to_send", { n: waiting }) : all;
  now.className = not ? "unsaved" : waiting ? "waiting" : all && "sent";
  here("link").textContent = link === "out of reach" ? say("out_of_reach") : "";
  here("mode").textContent = not ? "" : say(mode === "http" ? "mode_http" : shell.kept ? "mode_https" : "mode_getting_ready");
  const banners = banner();
  here("banners").replaceChildren(...banners);
  here("more").hidden = asking || !outbox.device();
  if (shell.newer && !waiting && !asking && quiet()) shell.take();
}

/** Nobody is in the middle of an event that this phone shows, as far as it knows. */
function quiet() {
  return state !== null && state.events.every((event) => event.over || event.closed);
}

function banner() {
  const { link, stuck, offset } = status;
  // What the desk has settled since waits no more.
  const review = status.apart + (state?.in_review?.length ?? status.review);
  /** @type {HTMLElement[]} */
  const found = [];
  const add = (/** @type {string} */ kind, /** @type {string} */ words, /** @type {Node[]} */ ...more) =>
    found.push(part("div", { className: kind }, [part("p", {}, words), ...more]));
  if (link === "let out") add("alarm", say("let_out"), press("scan_again", () => again()), press("save_file", download));
  if (lost) add("alarm", lostWords(lost), press("seen", forgetLost));
  if (tight) add("alarm", say("little_room"));
  if ("standalone" in navigator && !navigator.standalone) add("alarm", say("home_screen"));
  if (stuck) add("alarm", say("stuck", { n: stuck }), press("save_file", download));
  if (review) add("note", say("in_review", { n: review }));
  if (Math.abs(offset) > CLOCK_OFF_MS) add("note", say("clock_off", { time: time(Date.now() + offset) }));
  return found;
}

/** Hours and minutes at the meet. @param {number} at */
function time(at) {
  const timeZone = outbox.device()?.meet.time_zone;
  return new Intl.DateTimeFormat("en-GB", { hour: "2-digit", minute: "2-digit", timeZone }).format(at);
}

/** @param {import("./types.js").Lost} what */
function lostWords({ phone, given, back }) {
  return say(given > back ? "lost_some" : "lost_none", { phone, given, back, n: given - back });
}

async function forgetLost() {
  lost = null;
  await outbox.setMeta("lost", undefined);
  drawTop();
}

/**
 * @param {string} words
 * @param {() => unknown} then
 */
function press(words, then) {
  const button = part("button", { type: "button" }, say(words));
  button.addEventListener("click", async () => {
    try {
      await then();
    } catch (problem) {
      noStore(problem);
    }
  });
  return button;
}

// Less often

function menu() {
  asking = true;
  const back = press("back", () => settle());
  const list = [
    press("somebody_else", () => handOver()),
    press("other_place", async () => {
      await outbox.setMeta("place", undefined);
      await settle();
    }),
    press("save_file", download),
    press("scan_again", () => again()),
    ...(shell.newer && !status.waiting ? [press("newer", () => shell.take())] : []),
    back,
  ];
  const joined = outbox.device();
  put(root, [
    part("h1", {}, say("this_phone", { n: joined?.number ?? 0 })),
    part("p", {}, say("writes_now", { name: joined?.official ?? "" })),
    part("div", { className: "phone-choose" }, list),
  ]);
  list[0].focus();
}

function handOver() {
  const joined = outbox.device();
  const name = part("input", { id: "official", maxLength: 80, autocomplete: "off", required: true });
  const form = part("form", { className: "pit-form" }, [
    part("label", { htmlFor: "official" }, say("your_name")),
    name,
    part("button", { type: "submit", className: "main big" }, say("write_now")),
    press("back", () => settle()),
  ]);
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    const to = tidy(name.value);
    if (to) await as(to).catch((problem) => noStore(problem, () => as(to)));
  });
  const as = async (/** @type {string} */ to) => {
    await outbox.setOfficial(to);
    await handOn(joined?.official, to);
    await settle();
  };
  put(root, [part("h1", {}, say("who_writes")), form]);
  name.focus();
}

/** @param {string | undefined} from  who wrote before @param {string} to */
async function handOn(from, to) {
  if (!from || from === to) return;
  handed = true;
  await outbox.setMeta("handed", true);
}

/** Once it is known what is written here. @param {PhoneState} of @param {NonNullable<typeof place>} where */
async function sayHandedOver({ events }, { session, role }) {
  const to = outbox.device()?.official;
  if (!handed || !to || role === "display") return;
  handed = false;
  try {
    for (const { id, over } of events) if (!over) await outbox.save({ session, event: id, role, kind: "handed_over", values: { to } });
    await outbox.setMeta("handed", undefined);
    sync.kick();
  } catch {
    handed = true; // (said with the next state)
  }
}

/** The code once more, in place: the queue stays where it is. */
async function again() {
  asking = true;
  await join("");
  await settle();
}

function download() {
  const file = new Blob([outbox.exportText()], { type: "application/json" });
  const link = part("a", { href: URL.createObjectURL(file), download: say("file_name", { n: outbox.device()?.number ?? 0 }) });
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), MINUTE_MS);
}

/** @param {PhoneState} now */
async function tidyUp({ meet, events }) {
  if (events.every((event) => event.closed)) await outbox.tidyUp(new Set([meet.id]), sync.heard);
}

async function measure() {
  const { quota, usage } = (await navigator.storage?.estimate?.()) ?? {};
  tight = quota !== undefined && quota - (usage ?? 0) < LEAST_FREE_BYTES;
  drawTop();
}

async function stayAwake() {
  if (document.hidden || !place) return;
  await navigator.wakeLock?.request("screen").catch(() => null); // (a low battery refuses)
}
