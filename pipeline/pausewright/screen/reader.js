(() => {
  const data = JSON.parse(document.getElementById("data").textContent);
  const at = id => document.getElementById(id);
  const lines = data.lines;
  const GUARD_MS = 400;
  const keep = new Keep(data.id);

  let index = -1;                // the step that is shown; -1 before the first
  let since = 0;                 // when the stopwatch was started, by performance.now()
  let stood_ms = 0;              // what it had counted when it was stopped
  let isRunning = false;
  let guardUntil = 0;
  let boundary = 0;

  const isWait = i => i >= 0 && i < lines.length && lines[i][0] === "wait";

  function told(line) {
    if (line[0] === "wait") return `${line[1]}: ${seconds(line[5])}`;
    return line[1];
  }

  function seconds(ms) {
    const s = ms / 1000;
    return Number.isInteger(s) ? lengthInWords(s) : s < 60 ? `${s.toFixed(1)} seconds` : lengthInWords(s);
  }

  function passed_ms() {
    return stood_ms + (isRunning ? performance.now() - since : 0);
  }

  function go(to, isByHand = true) {
    clearTimeout(boundary);
    index = Math.max(-1, Math.min(lines.length, to));
    stood_ms = 0;
    isRunning = isWait(index);
    since = performance.now();
    if (isByHand) guardUntil = since + GUARD_MS;
    if (isRunning) wake();
    keep.write("step", index);
    show();
  }

  // The silence is over: the next sentence comes by itself, from the exact time on.
  function wake() {
    clearTimeout(boundary);
    if (!isRunning) return;
    const rest = lines[index][5] - passed_ms();
    if (rest <= 0) go(index + 1, false);
    else boundary = setTimeout(wake, Math.max(1, Math.min(rest, 500)));
  }

  function show() {
    const line = lines[index];
    at("where").textContent = line ? line[4] : index < 0 ? "Not started" : "The end";
    at("count").textContent = line ? `Step ${index + 1} of ${lines.length}` : counted(lines.length, "step");
    at("speaker").textContent = line && line[3] ? `${line[3]}:` : "";
    at("words").textContent = line ? line[1] : "";
    at("words").classList.toggle("other", Boolean(line) && line[0] !== "say");
    at("printed").textContent = line && line[2] ? `printed: ${line[2]}` : "";
    at("next").textContent = !line ? "Begin" : line[0] === "say" ? "Said: next" : line[0] === "wait" ? "End the silence now" : "Next";
    at("next").disabled = index >= lines.length;
    at("before").disabled = index < 0;
    at("hold").disabled = !isWait(index);
    at("hold").textContent = isWait(index) && !isRunning ? "Let the watch go on" : "Stop the watch";
    const next = lines[index + 1];
    at("next-says").textContent = next ? `Then: ${told(next)}` : "";
    drawWatch();
  }

  function drawWatch() {
    const line = lines[index];
    at("bar").classList.toggle("on", isWait(index));
    if (isWait(index)) {
      const passed = Math.min(passed_ms(), line[5]);
      at("fill").style.width = `${100 * (1 - passed / line[5])}%`;
      const says = `${Math.floor(passed / 1000)} of ${seconds(line[5])} ${isRunning ? "passed" : "passed, watch stopped"}`;
      if (at("watch").textContent !== says) at("watch").textContent = says;
    } else {
      const says = line && line[0] === "say" ? `The track takes about ${seconds(Math.max(1000, Math.round(line[5] / 1000) * 1000))} for this.` : "";
      if (at("watch").textContent !== says) at("watch").textContent = says;
    }
  }

  function press() {
    if (performance.now() < guardUntil || index >= lines.length) return;
    go(index + 1);
  }

  function hold() {
    if (!isWait(index)) return;
    if (isRunning) { stood_ms = passed_ms(); isRunning = false; }
    else { since = performance.now(); isRunning = true; wake(); }
    show();
  }

  at("next").addEventListener("click", press);
  at("next").addEventListener("keydown", event => { if (event.repeat) event.preventDefault(); });
  at("hold").addEventListener("click", hold);
  at("before").addEventListener("click", () => go(index - 1));
  at("print").addEventListener("click", () => window.print());
  document.addEventListener("keydown", event => {
    if (event.key !== " " || event.repeat || event.target.closest("button, select, input, a")) return;
    event.preventDefault();
    press();
  });

  at("steps").replaceChildren(...lines.map(line => {
    const item = document.createElement("li");
    item.textContent = `${line[3] ? `${line[3]}: ` : ""}${told(line)}${line[2] ? ` (printed: ${line[2]})` : ""}`;
    return item;
  }));
  setUpLook(at("smaller"), at("larger"), at("contrast"));
  show();
  keep.open().then(() => keep.newest("step")).then(step => {
    if (Number.isInteger(step) && step >= 0 && step < lines.length && index < 0) {
      // a silence begins again by hand, so that nobody is short of time
      index = step;
      stood_ms = 0;
      isRunning = false;
      show();
    }
  });
  (function frame() { drawWatch(); requestAnimationFrame(frame); })();
})();
