// Counts down the time of a trial from "all ready". How long it is, and when the flag goes up, stands in the page.

const clock = document.querySelector("[data-clock]");

if (clock) {
  const { seconds, warning, flag, over } = clock.dataset;
  let end = 0;
  let ticking = 0;

  const tick = () => {
    const left = Math.max(0, Math.ceil((end - performance.now()) / 1000));
    const warned = left <= Number(warning);
    clock.textContent = left ? `${left} s${warned ? `, ${flag}` : ""}` : over;
    clock.classList.toggle("warned", warned);
    if (!left) clearInterval(ticking);
  };

  clock.hidden = false;
  clock.addEventListener("click", () => {
    clearInterval(ticking);
    end = performance.now() + Number(seconds) * 1000;
    ticking = setInterval(tick, 200);
    clock.classList.add("running");
    tick();
  });
}
