// A form is sent once: a second press while the first is on its way is ignored.

const AGAIN_MS = 5000; // After this long without an answer it may be sent again.

const sent = new Set();

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (event.defaultPrevented || form.method !== "post") return;
  if (sent.has(form)) {
    event.preventDefault();
    return;
  }
  sent.add(form);
  setTimeout(() => sent.delete(form), AGAIN_MS);
});

window.addEventListener("pageshow", () => sent.clear());
