/* Keeps a live page up to date: asks for the page again, and puts in the parts that are different.
   No rule of the sport is here: the server says what stands, this shows it. */

const LONGEST_MS = 30000, ALLOWED_MS = 8000, SHOWN_MS = 4000;
const asOf = document.getElementById("as-of");
let tag = "", failures = 0, waiting = 0, asking = null, lastAnswer = new Date();

const pace = () => Number(document.getElementById("pace")?.dataset.pace) || 15000;

/* The time of day at the meet, wherever the phone believes to be. */
function clock(at) {
  const options = { hour: "2-digit", minute: "2-digit", hour12: false };
  try {
    return at.toLocaleTimeString([], { ...options, timeZone: asOf.dataset.zone });
  } catch {
    return at.toLocaleTimeString([], options);
  }
}

function later(delay) {
  clearTimeout(waiting);
  if (!document.hidden) waiting = setTimeout(look, delay);
}

async function look() {
  clearTimeout(waiting);
  if (document.hidden || asking) return;
  asking = new AbortController();
  const tooLong = setTimeout(() => asking.abort(), ALLOWED_MS);
  try {
    const headers = tag ? { "If-None-Match": tag } : {};
    const answer = await fetch(location.pathname, { headers, cache: "no-store", signal: asking.signal });
    if (answer.status !== 304) {
      if (!answer.ok) throw new Error(String(answer.status));
      show(new DOMParser().parseFromString(await answer.text(), "text/html"));
      tag = answer.headers.get("ETag") || "";
    }
    failures = 0;
    lastAnswer = new Date();
    asOf.hidden = true;
  } catch {
    failures += 1;
    asOf.textContent = asOf.dataset.away.replace("%s", clock(lastAnswer));
    asOf.hidden = false;
  } finally {
    clearTimeout(tooLong);
    asking = null;
  }
  /* Not all phones at once when the server is back. */
  const slower = failures ? Math.min(LONGEST_MS, pace() * 2 ** failures) * (0.75 + Math.random() / 2) : pace();
  later(slower);
}

/* Parts are told apart by their id; what is the same stays untouched, so that nothing is read out twice. */
function show(page) {
  for (const part of document.querySelectorAll("[data-part]")) {
    const now = page.getElementById(part.id);
    if (!now || now.outerHTML === part.outerHTML) continue;
    if (now.innerHTML !== part.innerHTML) {
      const before = new Map([...part.querySelectorAll("[id]")].map((row) => [row.id, row.textContent]));
      const focused = part.contains(document.activeElement) ? document.activeElement.id : "";
      part.innerHTML = now.innerHTML;
      for (const row of part.querySelectorAll("tr[id], li[id]")) {
        if (before.has(row.id) && before.get(row.id) !== row.textContent) mark(row);
      }
      if (focused) document.getElementById(focused)?.focus({ preventScroll: true });
    }
    for (const name of Object.keys(now.dataset)) part.dataset[name] = now.dataset[name];
  }
  if (page.title) document.title = page.title;
  document.dispatchEvent(new Event("shown"));
}

function mark(row) {
  row.classList.add("changed");
  setTimeout(() => row.classList.remove("changed"), SHOWN_MS);
}

document.addEventListener("visibilitychange", () => (document.hidden ? clearTimeout(waiting) : look()));
window.addEventListener("online", () => look());
later(pace());
