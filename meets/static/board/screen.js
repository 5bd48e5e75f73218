/* A big screen shows all of a long list by itself: it glides, or, where less motion is wanted, turns pages. */

const PER_SECOND = 42, REST_MS = 5000, PAGE_MS = 8000;
const list = document.querySelector("[data-scrolls]");
const button = document.getElementById("still");
const calm = matchMedia("(prefers-reduced-motion: reduce)");
let still = false, restUntil = performance.now() + REST_MS, before = 0, at = 0;

const beyond = () => list.scrollHeight - list.clientHeight;

function rest(now) {
  restUntil = now + REST_MS;
}

function step(now) {
  const passed = Math.min(now - before, 100);
  before = now;
  button.hidden = beyond() <= 1;
  if (!still && !calm.matches && !document.hidden && beyond() > 1 && now > restUntil) {
    if (list.scrollTop >= beyond() - 1) {
      list.scrollTop = at = 0;
      rest(now);
    } else {
      /* The browser rounds what it is given: the true place is kept here. */
      at = Math.max(at, list.scrollTop - 1) + (PER_SECOND * passed) / 1000;
      list.scrollTop = at;
      if (at >= beyond() - 1) rest(now);
    }
  }
  requestAnimationFrame(step);
}

function turn() {
  if (still || !calm.matches || document.hidden || beyond() <= 1) return;
  const last = list.scrollTop >= beyond() - 1;
  const row = list.querySelector("li")?.offsetHeight || 0;
  list.scrollTop = last ? 0 : list.scrollTop + Math.max(row, list.clientHeight - row);
}

button.addEventListener("click", () => {
  still = !still;
  at = list.scrollTop;
  button.textContent = still ? button.dataset.on : button.dataset.still;
});
setInterval(turn, PAGE_MS);
requestAnimationFrame(step);
