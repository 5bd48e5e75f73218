// Keys of the paper grid: from box to box in the order of the paper, digits set with their point. Which signs have no
// wind beside them and which end a line stands in the page; this file holds no rule.

const form = document.querySelector("[data-grid]");

if (form) start();

function start() {
  const noWind = new Set(form.dataset.noWind.split(" "));
  const endsLine = new Set(form.dataset.endsLine.split(" "));
  const last = form.querySelector("[data-last]");
  const count = form.querySelector("[data-count]");
  const lines = [...form.querySelectorAll("[data-line]")];
  const names = JSON.parse(form.dataset.names);
  let changed = false;

  const boxesOf = (line) => [...line.querySelectorAll(".box")];
  const lineOf = (box) => box.closest("[data-line]");
  const blockOf = (box) => box.closest("[data-block]").dataset.block;
  const along = () => form.elements.along.value;

  function inOrder() {
    const blocks = Map.groupBy ? [...Map.groupBy(lines, blockOf).values()] : grouped();
    return blocks.flatMap((own) => (along() === "lines" ? own.flatMap(boxesOf) : byRound(own)));
  }

  function grouped() {
    const found = new Map();
    for (const line of lines) found.set(blockOf(line), [...(found.get(blockOf(line)) ?? []), line]);
    return [...found.values()];
  }

  // Spare lines below printed ones are typed along the line, after everything else.
  function byRound(own) {
    const spare = own.filter((line) => line.querySelector("[data-bib]"));
    if (spare.length && spare.length < own.length) {
      return [...byRound(own.filter((line) => !spare.includes(line))), ...spare.flatMap(boxesOf)];
    }
    const boxes = own.flatMap(boxesOf);
    const rounds = [...new Set(boxes.map((box) => box.dataset.round ?? ""))];
    return rounds.flatMap((round) => boxes.filter((box) => (box.dataset.round ?? "") === round));
  }

  function trialBeside(wind) {
    return lineOf(wind).querySelector(`[data-trial][data-round="${wind.dataset.round}"]`);
  }

  function isSkipped(box) {
    const line = lineOf(box);
    if ("wind" in box.dataset) {
      if (form.elements.no_gauge.checked) return true;
      const trial = trialBeside(box).value.trim();
      if (!trial || noWind.has(trial)) return true;
    }
    if ("bib" in box.dataset) return false;
    const bib = line.querySelector("[data-bib]");
    if (bib && !bib.value.trim()) return true;
    const trials = [...line.querySelectorAll("[data-trial]")];
    const end = trials.findIndex((trial) => endsLine.has(trial.value.trim()));
    return end >= 0 && trials.findIndex((trial) => trial.dataset.round === box.dataset.round) > end;
  }

  // An empty bib means that its block has no further lines.
  function next(from) {
    const all = inOrder();
    let at = all.indexOf(from) + 1;
    if ("bib" in from.dataset && !from.value.trim()) {
      const block = blockOf(from);
      const typed = along() === "rounds" && all.slice(at).find((box) => blockOf(box) === block && !("bib" in box.dataset) && !isSkipped(box));
      if (typed) return typed;
      while (at < all.length && blockOf(all[at]) === block) at += 1;
    }
    while (at < all.length && isSkipped(all[at])) at += 1;
    return all[at] ?? last;
  }

  function before(from) {
    const all = inOrder();
    let at = all.indexOf(from) - 1;
    while (at > 0 && isSkipped(all[at])) at -= 1;
    return all[Math.max(at, 0)];
  }

  function beside(box, down, right) {
    const line = lineOf(box);
    if (right) {
      const own = boxesOf(line);
      return own[own.indexOf(box) + right] ?? box;
    }
    const column = (other) => other.name.replace(/^(\w+?)_\d+_\d+/, "$1");
    let at = lines.indexOf(line) + down;
    while (lines[at]) {
      const same = boxesOf(lines[at]).find((other) => column(other) === column(box));
      if (same) return same;
      at += down;
    }
    return box;
  }

  function go(box) {
    box.focus();
    box.select?.();
  }

  function written(box) {
    const text = box.value.trim();
    if ("bib" in box.dataset) return text;
    if ("wind" in box.dataset) return windWritten(text);
    const sign = text.toLowerCase().replace(/^[/*]/, "x").replace(/^[–−]$/, "-").replace(/^d$/, "dns");
    const protest = /^x[ /(]?(\d+)\)?$/.exec(sign);
    if (protest) return `x/${pointed(protest[1])}`;
    return /^\d+$/.test(sign) ? pointed(sign) : sign;
  }

  function pointed(digits) {
    if (form.dataset.format === "feet") return digits.replace(/^(\d{1,2})(\d\d)(\d\d)$/, "$1-$2.$3");
    return digits.replace(/^(\d{1,2})(\d\d)$/, "$1.$2");
  }

  function windWritten(text) {
    if (/^n(wi)?$/i.test(text)) return "NWI";
    const parts = /^([-+−–]?)(\d{0,2})(\d)$/.exec(text);
    if (!parts) return text;
    const [, sign, whole, tenth] = parts;
    const amount = `${Number(whole)}.${tenth}`;
    if (/^[0.]+$/.test(amount)) return "0.0";
    return `${/[-−–]/.test(sign) ? "-" : "+"}${amount}`;
  }

  function write(box) {
    const text = written(box);
    if (box.value !== text) box.value = text;
    const who = lineOf(box).querySelector("[data-who]");
    if (who && "bib" in box.dataset) who.textContent = text ? (names[text] ?? names[text.toUpperCase()] ?? `? ${form.dataset.unknown}`) : "";
    tally();
  }

  function tally() {
    const filled = lines.flatMap(boxesOf).filter((box) => "trial" in box.dataset && box.value.trim()).length;
    count.textContent = `${filled} ${count.dataset.words}`;
  }

  form.addEventListener("focusin", (event) => event.target.matches(".box") && event.target.select());
  form.addEventListener("focusout", (event) => event.target.matches(".box") && write(event.target));
  form.addEventListener("input", () => {
    changed = true;
    tally();
  });
  form.addEventListener("submit", () => {
    for (const box of lines.flatMap(boxesOf)) write(box);
    changed = false;
  });
  window.addEventListener("beforeunload", (event) => changed && event.preventDefault());

  const moves = { ArrowUp: [-1, 0], ArrowDown: [1, 0], ArrowLeft: [0, -1], ArrowRight: [0, 1] };
  form.addEventListener("keydown", (event) => {
    const box = event.target;
    if (!box.matches(".box") || event.ctrlKey || event.metaKey || event.altKey || event.isComposing) return;
    if (event.key === "Enter" || event.key === " ") {
      write(box);
      go(event.shiftKey ? before(box) : next(box));
    } else if (event.key in moves) {
      write(box);
      go(beside(box, ...moves[event.key]));
    } else if (event.key === "Escape") {
      box.value = "";
      changed = true;
      tally();
    } else {
      return;
    }
    event.preventDefault();
  });

  tally();
  const wrong = form.querySelector('[aria-invalid="true"]');
  go(wrong ?? inOrder().find((box) => !isSkipped(box) && !box.value) ?? inOrder()[0]);
}
