// One sender among the tabs of this phone. Without HTTPS there are no locks: then a row of the store says who sends.

const NAME = "nearest-break-sender";
const PATIENCE_MS = 20_000;
const BEAT_MS = 10_000; // Longer than one request may take.

/**
 * Do something while no other tab does it.
 * @param {import("./outbox.js").Outbox} outbox
 * @param {string} tab
 * @param {(still: () => Promise<boolean>) => Promise<void>} work  asks before each request whether it is still its turn
 * @returns {Promise<boolean>}  whether it was done
 */
export async function alone(outbox, tab, work) {
  if (navigator.locks) {
    const held = () => work(async () => true);
    try {
      await navigator.locks.request(NAME, { signal: AbortSignal.timeout(PATIENCE_MS) }, held);
    } catch (problem) {
      if (/** @type {Error} */ (problem).name !== "TimeoutError") throw problem;
      // A tab that the phone has put to sleep while it sent. What it sent comes twice, which harms nothing.
      await navigator.locks.request(NAME, { steal: true }, held);
    }
    return true;
  }
  const mine = () => outbox.changeMeta("sender", (row) => (free(row, tab) ? { tab, until: Date.now() + BEAT_MS } : undefined));
  if (!(await mine())) return false;
  await work(mine);
  await outbox.changeMeta("sender", (row) => (row?.tab === tab ? { tab, until: 0 } : undefined));
  return true;
}

/**
 * @param {{ tab: string, until: number } | undefined} row
 * @param {string} tab
 */
function free(row, tab) {
  // A clock that was put back must not lock everybody out for hours.
  return !row || row.tab === tab || row.until < Date.now() || row.until > Date.now() + BEAT_MS;
}
