// A clock that goes on evenly: a worker's, since a page in the background is slowed down.

/**
 * Call often and evenly.
 * @param {number} ms
 * @param {() => void} call
 */
export function everyTick(ms, call) {
  try {
    const code = `setInterval(() => postMessage(0), ${ms});`;
    const worker = new Worker(URL.createObjectURL(new Blob([code], {type: "text/javascript"})));
    worker.onmessage = call;
    worker.onerror = () => { worker.terminate(); setInterval(call, ms); };
  } catch {
    setInterval(call, ms);
  }
}
