// Moves between the questions of a trial without asking the server. Which question follows which, how many digits are
// wanted and what is read back stands in the page; this file holds no rule.

import { onlyDigits, pointed, windShown } from "./digits.js";

const root = document.querySelector("[data-steps]");
const HOLD_MS = 350; // A second tap on the key before must not fall on the button that sends.

if (root) start();

function start() {
  const send = root.querySelector("[data-send]");
  const fields = [...send.querySelectorAll("[data-answer]")];
  const turn = send.elements.turn.value;
  let answers = new Map(fields.filter((field) => field.value).map((field) => [field.name, field.value]));
  let at = root.dataset.at;
  let shownAt = performance.now();
  const before = [];

  root.classList.add("scripted");
  for (const part of root.querySelectorAll("[data-keys], [data-typed]")) part.hidden = false;
  for (const part of root.querySelectorAll("[data-plain]")) part.hidden = true;
  for (const form of root.querySelectorAll("[data-digits]")) {
    const input = typed(form);
    input.inputMode = "none";
    input.value = onlyDigits(input.value);
    echo(form);
  }
  focus();
  remember();

  const section = (step) => root.querySelector(`[data-step="${step}"]`);

  function typed(form) {
    return form.elements[form.dataset.digits];
  }

  function sign(form) {
    return form.querySelector("input[name=sign]:checked")?.value ?? "";
  }

  function echo(form) {
    const digits = typed(form).value;
    const shown = "signed" in form.dataset ? windShown(sign(form), digits) : pointed(digits, root.dataset.format);
    form.querySelector("[data-typed]").textContent = digits ? shown : "signed" in form.dataset ? sign(form).replace("-", "−") : "";
  }

  function show(step) {
    for (const part of root.querySelectorAll("[data-step]")) part.hidden = part.dataset.step !== step;
    for (const part of root.querySelectorAll("[data-once]")) part.remove();
    for (const part of root.querySelectorAll("[data-after-once]")) part.hidden = false;
    at = root.dataset.at = step;
    shownAt = performance.now();
    fill();
    focus();
    remember();
    window.scrollTo(0, 0);
  }

  function focus() {
    const here = root.querySelector(`[data-step="${at}"]`);
    const input = here.querySelector("input:not([type=hidden], [type=radio])");
    (input ?? here.querySelector("[data-confirm]:not([hidden])"))?.focus({ preventScroll: true });
  }

  function remember() {
    const query = new URLSearchParams([["turn", turn], ...answers]);
    history.replaceState(null, "", answers.size ? `${root.dataset.here}?${query}` : location.search.includes("turn=") ? `?turn=${turn}` : root.dataset.here);
  }

  function fill() {
    for (const field of fields) field.value = answers.get(field.name) ?? "";
    const chosen = (name) => root.querySelector(`button[name="${name}"][value="${answers.get(name)}"]`);
    const digits = answers.get("digits");
    const mark = digits && (/^\d+$/.test(digits) ? pointed(digits, root.dataset.format) : digits);
    const figures = mark ? (answers.has("protest") ? `x/${mark}` : mark) : (chosen("flag")?.dataset.figures ?? "");
    const words = answers.has("protest") ? [chosen("protest")] : [chosen("flag"), chosen("why")];
    const direction = answers.get("sign");
    const named = chosen("sign");
    put("[data-figures]", figures).dataset.length = figures.length;
    put("[data-said]", words.map((button) => button?.dataset.says).filter(Boolean).join(": "));
    put("[data-wind]", answers.has("tenths") ? windShown(direction, answers.get("tenths")) : named && !named.dataset.says ? named.textContent : "");
    put("[data-wind-said]", named?.dataset.says ?? "");
    for (const part of root.querySelectorAll("[data-if]")) part.hidden = !answers.has(part.dataset.if);
  }

  function put(selector, text) {
    const part = send.querySelector(selector);
    part.textContent = text;
    return part;
  }

  function go(step) {
    before.push([at, new Map(answers)]);
    let next = step;
    while (answers.has(section(next).dataset.answers) && section(next).dataset.next) next = section(next).dataset.next;
    show(next);
  }

  function back() {
    if (!before.length) return false;
    const [step, then] = before.pop();
    answers = then;
    show(step);
    return true;
  }

  function open(step) {
    before.push([at, new Map(answers)]);
    const names = section(step).dataset.answers;
    if (names) for (const field of section(step).querySelectorAll("input:not([type=hidden])")) answers.delete(field.name);
    else answers.clear();
    const form = section(step).querySelector("[data-digits]");
    if (form) empty(form);
    show(step);
  }

  function empty(form) {
    typed(form).value = "";
    for (const radio of form.querySelectorAll("[type=radio]")) radio.checked = false;
    echo(form);
  }

  function answer(form, button) {
    if ("clears" in form.dataset) {
      answers.clear();
      for (const other of root.querySelectorAll("[data-digits]")) empty(other);
    }
    if (form.dataset.digits && !("alone" in (button?.dataset ?? {})) && !digitsAnswered(form)) return;
    if (button?.name) {
      answers.set(button.name, button.value);
      if ("alone" in button.dataset) {
        answers.delete("tenths");
        empty(form);
      }
    }
    go(button?.dataset.next ?? form.dataset.next);
  }

  function digitsAnswered(form) {
    const digits = typed(form).value;
    if (digits.length < Number(form.dataset.least)) return false;
    if ("signed" in form.dataset) {
      const none = /^0+$/.test(digits);
      form.querySelector("[data-sign-first]").hidden = none || Boolean(sign(form));
      if (!none && !sign(form)) return false;
      answers.set("sign", none ? "0" : sign(form));
      if (none) {
        answers.delete("tenths");
        return true;
      }
    }
    answers.set(form.dataset.digits, digits);
    return true;
  }

  root.addEventListener("submit", (event) => {
    if (event.target === send) {
      if (send.dataset.sent || performance.now() - shownAt < HOLD_MS) event.preventDefault();
      else send.dataset.sent = "yes";
      return;
    }
    event.preventDefault();
    answer(event.target, event.submitter);
  });

  root.addEventListener("click", (event) => {
    const pressed = event.target.closest("[data-digit], [data-rub], [data-back], [data-go]");
    if (!pressed) return;
    const form = pressed.closest("[data-digits]");
    if (pressed.dataset.digit) {
      typed(form).value = (typed(form).value + pressed.dataset.digit).slice(0, Number(form.dataset.most));
    } else if ("rub" in pressed.dataset) {
      typed(form).value = typed(form).value.slice(0, -1);
    } else if ("back" in pressed.dataset) {
      if (back()) event.preventDefault();
      return;
    } else {
      event.preventDefault();
      open(pressed.dataset.go);
      return;
    }
    echo(form);
  });

  root.addEventListener("input", (event) => {
    const form = event.target.closest("[data-digits]");
    if (!form) return;
    typed(form).value = onlyDigits(typed(form).value).slice(0, Number(form.dataset.most));
    if (event.target.type === "radio") typed(form).focus();
    echo(form);
  });

  document.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey || event.isComposing) return;
    const elsewhere = event.target.closest("input, textarea, select");
    if (elsewhere && !root.contains(elsewhere)) return;
    if (event.key === "Enter" && event.repeat) event.preventDefault();
    if (event.key === "Escape" && back()) event.preventDefault();
    const here = section(at);
    const key = event.key.toLowerCase();
    const radio = /^[-+]$/.test(key) && here.querySelector(`[type=radio][value="${key}"]`);
    const button = key.length === 1 && here.querySelector(`[data-key="${CSS.escape(key)}"]`);
    if (radio) {
      radio.click();
      event.preventDefault();
    } else if (button) {
      button.click();
      event.preventDefault();
    } else if (/^\d$/.test(key) && here.querySelector('[data-key="w"]')) {
      here.querySelector('[data-key="w"]').click();
      section(at).querySelector(`[data-digit="${key}"]`)?.click();
      event.preventDefault();
    }
  });
}
