// Starting without signal: the worker that keeps these pages, and the change to a newer version between events.

/**
 * @param {string} address
 * @param {string} scope
 * @param {() => void} onChange
 */
export function keepShell(address, scope, onChange) {
  const shell = {
    /** This page can be opened without signal. */
    kept: false,
    /** A newer version is on this phone and waits. */
    newer: false,
    take: () => {},
  };
  if (!navigator.serviceWorker) return shell;
  let had = Boolean(navigator.serviceWorker.controller);
  navigator.serviceWorker.addEventListener("controllerchange", () => {
    shell.kept = true;
    // The first worker takes over a page that it fits; the next one brings other scripts.
    if (had) location.reload();
    had = true;
    onChange();
  });
  shell.kept = had;
  navigator.serviceWorker.register(address, { scope, updateViaCache: "none" }).then(
    (registration) => {
      const look = () => {
        shell.newer = Boolean(registration.waiting && registration.active);
        onChange();
      };
      shell.take = () => registration.waiting?.postMessage("take over");
      registration.addEventListener("updatefound", () => {
        registration.installing?.addEventListener("statechange", look);
      });
      document.addEventListener("visibilitychange", () => {
        if (!document.hidden) registration.update().catch(() => null);
      });
      look();
    },
    () => null, // (out of reach, or private browsing: the page says that it cannot be opened again)
  );
  return shell;
}
