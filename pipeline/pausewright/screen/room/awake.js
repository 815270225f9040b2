// Keeping the screen awake while the test is given.

/** @type {WakeLockSentinel | null} */
let lock = null;

/** Return whether the screen stays awake from now on. */
export async function stayAwake() {
  try {
    if (!lock || lock.released) lock = await navigator.wakeLock.request("screen");
    return true;
  } catch {
    return false;
  }
}

export function letSleep() {
  lock?.release().catch(() => {});
  lock = null;
}
