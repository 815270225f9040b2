(() => {
  const data = JSON.parse(document.getElementById("data").textContent);
  const at = id => document.getElementById(id);
  const audio = at("sound");
  const isPractice = data.practice;
  const length_s = data.length_ms / 1000;
  const late_s = data.late_ms / 1000;

  const TICK_MS = 50;            // how often the place is kept: 20 times a second
  const GUARD_MS = 700;          // a second press within this time is a slip of the hand
  const INTO_HOLD_S = 0.2;       // how far into a hold the recording is stopped
  const BEFORE_TONE_S = 1;       // silence that is left of a hold when it goes on
  const ASLEEP_S = 2;            // a clock that jumps by more while nothing played: closed lid

  const keep = new Keep(data.id);
  const only = new OnlyOne(data.id);
  const log = new Log(keep, at("log-rows"), at("log-table"), at("log-empty"));

  // The phase decides everything: loading, ready, trying, playing, halted, paused, ended, refused.
  let phase = "loading";
  let phaseSince = Date.now();
  let guardUntil = 0;
  let served = new Set();        // holds that the invigilator has ended
  let pauseRow = -1;             // row of the log of the pause that lasts
  let paused_ms = 0;             // all pauses and stops so far
  let hasTried = false;
  let isSeeking = false;         // a jump of ours
  let isBeginning = false;       // it is being asked whether this page may play
  let place_s = 0;               // last place that was played
  let tickAt = Date.now();       // when the last tick was, and where the recording was then
  let tickPlace_s = 0;
  let lock = null;               // wake lock
  let boundary = 0;
  const checks = new Map();

  // ---- where we are

  const find = (spans, ms) => spans.find(one => one[0] <= ms && ms < one[1]) || null;
  const stretchAt = s => find(data.stretches, s * 1000) || data.stretches[data.stretches.length - 1];
  const holdAt = s => data.halts.findIndex(one => one[0] <= s * 1000 && s * 1000 < one[1]);
  const where = s => (s * 1000 >= data.length_ms ? "End" : stretchAt(s)[2]);

  // Seconds of sound that are still to come, the rests of holds left out.
  function toCome_s() {
    let rest = length_s - audio.currentTime;
    data.halts.forEach(([start, end], index) => {
      const from = Math.max(start / 1000 + INTO_HOLD_S, audio.currentTime);
      const until = end / 1000 - BEFORE_TONE_S;
      if (!served.has(index) && until > from) rest -= until - from;
    });
    return Math.max(0, rest);
  }

  function stopsToCome() {
    return data.halts.filter((one, index) => !served.has(index) && one[1] / 1000 > audio.currentTime).length;
  }

  // ---- phases

  function enter(next, says) {
    if (phase === "paused" || phase === "halted") paused_ms += Date.now() - phaseSince;
    phase = next;
    phaseSince = Date.now();
    at("says").textContent = says;
    show();
    keepPlace();
  }

  function trouble(text) {
    at("trouble").textContent = text;
  }

  function keepPlace() {
    if (!["playing", "halted", "paused", "ended"].includes(phase)) return;
    keep.write("place", {place_s: audio.currentTime, phase, at: Date.now(), paused_ms,
      served: [...served], level: audio.volume, pauseRow,
      stopped_ms: phase === "paused" || phase === "halted" ? Date.now() - phaseSince : 0});
  }

  async function jump(s) {
    isSeeking = true;
    place_s = Math.max(0, Math.min(s, length_s));
    await new Promise(done => {
      audio.addEventListener("seeked", done, {once: true});
      audio.currentTime = place_s;
      setTimeout(done, 3000);
    });
    isSeeking = false;
    place_s = audio.currentTime;
  }

  async function play(says) {
    phase = "starting";
    guardUntil = performance.now() + GUARD_MS;
    try {
      await audio.play();
    } catch (error) {
      phase = "failed";
      enter("paused", "The sound did not begin.");
      trouble(`The browser did not play the sound (${error.name}). Press the button again, or use the plain track in another player.`);
      return;
    }
    trouble("");
    stayAwake();
    tickAt = Date.now();
    tickPlace_s = audio.currentTime;
    enter("playing", says);
    schedule();
  }

  async function start() {
    served = new Set();
    paused_ms = 0;
    pauseRow = -1;
    await jump(0);
    log.add("started", 0, where(0));
    await play("Playing.");
  }

  function pause(what, says) {
    if (phase !== "playing") return;
    phase = "stopping";
    audio.pause();
    place_s = audio.currentTime;
    pauseRow = log.add(what, place_s, where(place_s));
    at("reason").value = "";
    at("detail").value = "";
    guardUntil = performance.now() + GUARD_MS;
    enter("paused", says);
  }

  function halt(index) {
    phase = "stopping";
    audio.pause();
    place_s = audio.currentTime;
    pauseRow = log.add(`waits: ${data.halts[index][2]}`, place_s, where(place_s));
    at("reason").value = "";
    at("detail").value = "";
    guardUntil = performance.now() + GUARD_MS;
    enter("halted", `${data.halts[index][2]}. The recording waits until you continue.`);
  }

  async function goOn() {
    const after = lengthInWords((Date.now() - phaseSince) / 1000);
    const index = holdAt(audio.currentTime);
    if (phase === "halted" && index >= 0) {
      served.add(index);
      const until = data.halts[index][1] / 1000 - BEFORE_TONE_S;
      if (until > audio.currentTime) await jump(until);
    }
    log.add(`continued after ${after}`, audio.currentTime, where(audio.currentTime));
    pauseRow = -1;
    await play("Playing.");
  }

  async function goOnFromQuestion(place = audio.currentTime) {
    const from = stretchAt(place)[3] / 1000;
    await jump(from);
    served = new Set([...served].filter(index => data.halts[index][1] / 1000 <= from));
    log.add("continued from the start of this question", from, where(from + 0.4));
    pauseRow = -1;
    await play("Playing.");
  }

  function finish() {
    if (phase === "ended") return;
    log.add("ended", length_s, "End");
    enter("ended", "The recording has ended.");
    letSleep();
  }

  // ---- what has to be done at exact times

  // Called often: draws captions and times, stops at holds.
  function look() {
    const s = audio.currentTime;
    if (phase === "playing") {
      const index = holdAt(s - INTO_HOLD_S + 0.005);
      if (index >= 0 && !served.has(index)) {
        halt(index);
      } else {
        const missed = data.halts.findIndex(([, end], i) => !served.has(i) && end <= s * 1000 && end > place_s * 1000);
        if (missed >= 0) {
          audio.pause();
          isSeeking = true;
          audio.currentTime = data.halts[missed][0] / 1000 + INTO_HOLD_S;
          audio.addEventListener("seeked", () => { isSeeking = false; }, {once: true});
          halt(missed);
        }
      }
      if (phase === "playing") place_s = s;
    }
    if (phase === "trying" && s * 1000 >= tryEnd_ms) endTry();
    showTimed(audio.currentTime);
  }

  // Wake up at the next time at which something changes, not only with the screen's frames.
  function schedule() {
    clearTimeout(boundary);
    if (phase !== "playing" && phase !== "trying") return;
    const ms = audio.currentTime * 1000;
    let next = Infinity;
    for (const spans of [data.cues, data.silences, data.stretches]) {
      const one = spans.find(span => span[1] > ms);
      if (one) next = Math.min(next, one[0] > ms ? one[0] : one[1]);
    }
    for (const [start] of data.halts) {
      if (start + INTO_HOLD_S * 1000 > ms) { next = Math.min(next, start + INTO_HOLD_S * 1000); break; }
    }
    if (phase === "trying") next = Math.min(next, tryEnd_ms);
    const wait = Math.max(1, Math.min(500, (next - ms) / audio.playbackRate));
    boundary = setTimeout(() => { look(); schedule(); }, wait);
  }

  function frame() {
    look();
    requestAnimationFrame(frame);
  }

  function tick() {
    const now = Date.now();
    const jumped_s = (now - tickAt) / 1000;
    const played_s = audio.currentTime - tickPlace_s;
    tickAt = now;
    tickPlace_s = audio.currentTime;
    if (phase === "playing" && jumped_s > ASLEEP_S && played_s < jumped_s - ASLEEP_S) {
      asleep(now - jumped_s * 1000);
    }
    look();
    if (phase === "playing") keepPlace();
    if (now % 1000 < TICK_MS) {
      only.renew();
      showClock();
      if (phase === "paused" || phase === "halted") keepPlace();
    }
  }

  async function asleep(since) {
    const back_s = Math.max(0, place_s - late_s);
    pause(`paused: the computer was asleep since ${clockTime(since)}`, "The computer was asleep. The recording is paused, the clock is stopped.");
    await jump(back_s);
    keepPlace();
  }

  // ---- drawing

  let shownCaption = null;
  let shownTime = null;
  let shownWhere = "";

  function showTimed(s) {
    const ms = s * 1000;
    const isOn = ["playing", "halted", "paused"].includes(phase);
    const caption = at("caption");
    if (caption) {
      const cue = isOn && !caption.hidden ? find(data.cues, ms) : null;
      if (cue !== shownCaption) {
        shownCaption = cue;
        caption.replaceChildren(...(cue ? cue[2] : []).map(text => {
          const line = document.createElement("span");
          line.textContent = text;
          return line;
        }));
      }
    }
    if (at("time")) showSilence(isOn ? find(data.silences, ms) : null, ms);
    const isOffered = phase === "ready" && !at("again").hidden;
    const place = isOffered ? "Stopped before its end" : {loading: "Not ready yet", ready: "Not started", refused: "Open elsewhere",
      trying: "Sound check", ended: "The end"}[phase] || where(s);
    if (place !== shownWhere) {
      shownWhere = place;
      at("where").textContent = place;
      showEntries(s);
    }
  }

  // What is left of a silence, where the script declares that candidates may see it.
  function showSilence(silence, ms) {
    const left_s = silence ? Math.ceil((silence[1] - ms) / 1000) : 0;
    const says = silence ? `${silence[2]}: ${lengthInWords(left_s)} left.` : "";
    if (says !== shownTime) {
      shownTime = says;
      at("time").classList.toggle("off", !silence);
      at("time-says").textContent = says;
    }
    if (!silence) return;
    const isCalm = matchMedia("(prefers-reduced-motion: reduce)").matches;
    const rest_ms = isCalm ? left_s * 1000 : silence[1] - ms;
    at("fill").style.width = `${Math.min(100, 100 * rest_ms / (silence[1] - silence[0]))}%`;
  }

  function showEntries(s) {
    const isOn = !["loading", "ready", "refused", "trying"].includes(phase);
    let current = -1;
    if (isOn && phase !== "ended") data.entries.forEach((one, index) => { if (one[2] <= s * 1000 + 50) current = index; });
    [...at("entries").children].forEach((item, index) => {
      const isPast = isOn && (phase === "ended" || index < current);
      item.classList.toggle("past", isPast);
      item.querySelector(".unseen").textContent = isPast ? " (played)" : index === current ? " (now)" : "";
      if (index === current) item.setAttribute("aria-current", "true");
      else item.removeAttribute("aria-current");
    });
  }

  function buildEntries() {
    at("entries").replaceChildren(...data.entries.map(([kind, title, start_ms]) => {
      const item = document.createElement("li");
      item.className = kind;
      const name = document.createElement(isPractice ? "button" : "span");
      name.textContent = title;
      if (isPractice) {
        name.type = "button";
        name.addEventListener("click", () => visit(start_ms / 1000));
      }
      const state = document.createElement("span");
      state.className = "unseen";
      item.append(name, state);
      return item;
    }));
  }

  const LABELS = {playing: "Pause", paused: "Continue", halted: "Continue", ended: "Ended", trying: "Start",
    starting: "Pause", stopping: "Continue"};

  function show() {
    const main = at("main");
    main.textContent = LABELS[phase] || "Start";
    const isHeld = !at("again").hidden;
    main.disabled = ["loading", "refused", "trying"].includes(phase)
      || (phase === "ended" && !isPractice) || isHeld;
    if (phase === "ended" && isPractice) main.textContent = "Start";
    const hasBegun = ["playing", "paused", "halted", "ended"].includes(phase);
    at("before").hidden = hasBegun || isHeld;
    at("try").disabled = !["ready", "trying", "stopping"].includes(phase) || isHeld;
    at("reasons").hidden = isPractice || (phase !== "paused" && phase !== "halted");
    at("reason-part").hidden = phase !== "paused";
    at("from-question-part").hidden = phase !== "paused";
    showTimed(audio.currentTime);
    showEntries(audio.currentTime);
    showClock();
  }

  function showClock() {
    const ends = at("ends");
    const stops = stopsToCome();
    if (phase === "playing" || phase === "paused" || phase === "halted" || (phase === "ready" && at("again").hidden)) {
      const end = Date.now() + toCome_s() * 1000;
      const time = document.createElement("time");
      time.dateTime = new Date(end).toISOString();
      time.textContent = clockTime(end, false);
      const first = phase === "ready" ? "Started now, the recording would end at about "
        : phase === "playing" ? "The recording ends at about " : "Continued now, the recording would end at about ";
      const last = stops ? `; ${stops === 1 ? "one stop" : `${stops} stops`} to come, and the time you take there.` : ".";
      ends.replaceChildren(first, time, last);
    } else {
      ends.textContent = "";
    }
    const now_ms = phase === "paused" || phase === "halted" ? Date.now() - phaseSince : 0;
    const all = paused_ms + now_ms;
    const parts = [];
    if (now_ms) parts.push(`Stopped for ${lengthInWords(now_ms / 1000)}.`);
    if (all >= 500) parts.push(`Stops and pauses so far: ${lengthInWords(all / 1000)}.`);
    at("stopped").textContent = parts.join(" ");
  }

  // ---- before the start

  function check(name, text, isBad = false) {
    checks.set(name, [text, isBad]);
    at("checks").replaceChildren(...[...checks.values()].map(([says, bad]) => {
      const item = document.createElement("li");
      if (bad) item.className = "warn";
      item.textContent = bad ? `Look: ${says}` : says;
      return item;
    }));
  }

  async function stayAwake() {
    try {
      if (lock && !lock.released) return true;
      lock = await navigator.wakeLock.request("screen");
      return true;
    } catch {
      return false;
    }
  }

  function letSleep() {
    if (lock) lock.release().catch(() => {});
    lock = null;
  }

  let tryEnd_ms = 0;
  let tone = null;

  async function trySound() {
    if (phase !== "ready") return;
    guardUntil = performance.now() + GUARD_MS;
    if (!data.first_words) {
      playTone();
      return;
    }
    await jump(data.first_words[0] / 1000);
    tryEnd_ms = data.first_words[1] + 150;
    try {
      await audio.play();
      enter("trying", "Sound check: the first instruction.");
      schedule();
    } catch (error) {
      trouble(`The browser did not play the sound (${error.name}). Press the button again, or use the plain track in another player.`);
    }
  }

  // A tone of two seconds, for a track that begins without words.
  function playTone() {
    const context = new AudioContext();
    const gain = context.createGain();
    tone = context.createOscillator();
    tone.frequency.value = 520;
    const level = 0.12 * audio.volume;
    gain.gain.setValueAtTime(0, context.currentTime);
    gain.gain.linearRampToValueAtTime(level, context.currentTime + 0.05);
    gain.gain.setValueAtTime(level, context.currentTime + 1.95);
    gain.gain.linearRampToValueAtTime(0, context.currentTime + 2);
    tone.connect(gain).connect(context.destination);
    tone.onended = () => { context.close(); tried(); };
    tone.start();
    tone.stop(context.currentTime + 2);
  }

  async function endTry() {
    if (phase !== "trying") return;
    phase = "stopping";
    audio.pause();
    await jump(0);
    enter("ready", "");
    tried();
  }

  function tried() {
    hasTried = true;
    check("sound", `The sound was tried, at level ${Math.round(audio.volume * 100)} of 100.`);
  }

  function showLevel() {
    at("level-says").textContent = `${Math.round(audio.volume * 100)} of 100`;
    if (phase === "ready" && hasTried) tried();
  }

  async function askToPlay() {
    const may = await only.ask();
    at("look-again").hidden = may;
    if (!may) {
      enter("refused", "This recording is open in another window or tab of this browser, and only one can play it.");
      check("only", "close the other window or tab with this recording, then press Look again.", true);
      return false;
    }
    checks.delete("only");
    return true;
  }

  function loaded() {
    return new Promise((good, bad) => {
      if (audio.readyState >= 1) { good(); return; }
      if (audio.error) { bad(new Error("error")); return; }
      audio.addEventListener("loadedmetadata", good, {once: true});
      audio.addEventListener("error", () => bad(new Error("error")), {once: true});
      setTimeout(() => bad(new Error("late")), 20000);
    });
  }

  async function prepare() {
    buildEntries();
    showLevel();
    show();
    const held = at("held");
    if (held) {
      const bytes = Uint8Array.from(atob(held.textContent), sign => sign.charCodeAt(0));
      held.remove();
      audio.src = URL.createObjectURL(new Blob([bytes], {type: data.type}));
    }
    try {
      await loaded();
    } catch {
      check("recording", `the recording cannot be played. The file ${data.track} must lie in the same folder as this page, under its own name. If it does, this browser cannot play it: use another one, or the plain track in another player.`, true);
      return;
    }
    if (Math.abs(audio.duration - length_s) > 0.25) {
      check("recording", `the recording beside this page lasts ${lengthInWords(audio.duration)}, and this page was made for ${lengthInWords(length_s)}. Do not use it: copy the whole folder again.`, true);
      return;
    }
    check("recording", `The recording is here and lasts ${lengthInWords(length_s)} without stops.`);
    const kept = await keep.open();
    if (kept.page && kept.disk) check("keep", "This browser keeps the place if the page closes or the computer fails.");
    else if (kept.page) check("keep", "this browser keeps the place if the page closes, but may lose the last seconds if the computer fails. Note the clock time at each question.", true);
    else check("keep", "this browser does not keep the place (a private window, or its settings). If the page closes you must begin anew. Use an ordinary window, or have the running sheet at hand.", true);
    if (await stayAwake()) check("awake", "This page keeps the screen awake while it is in front.");
    else check("awake", "this browser cannot keep the screen awake. Set the computer so that it does not sleep, and keep the lid open.", true);
    check("sound", "the sound has not been tried yet.", true);
    await begin();
  }

  // Once at a time: an answer that comes late must not set back what goes on by then.
  async function begin() {
    if (isBeginning) return;
    isBeginning = true;
    try {
      if (await askToPlay()) await lookBack();
    } finally {
      isBeginning = false;
    }
  }

  async function lookBack() {
    log.load(await keep.newest("log"));
    const last = await keep.newest("place");
    const isWithin = last && last.phase !== "ended" && last.place_s > 0 && last.place_s < length_s - 0.2;
    if (isWithin && !isPractice) offer(last);
    enter("ready", "");
    at("main").textContent = "Start";
  }

  // ---- after a crash, a power cut, a reload

  function offer(last) {
    const place = Math.max(0, last.phase === "paused" || last.phase === "halted" || last.phase === "playing"
      ? last.place_s - late_s : last.place_s);
    at("again").hidden = false;
    at("again-says").textContent = `It was at ${placeTime(last.place_s)} (${where(last.place_s)}) on ${dayOf(last.at)} at ${clockTime(last.at)}. Choose how to go on; nothing plays until you do.`;
    const resume = how => {
      at("again").hidden = true;
      at("main").focus();
      served = new Set(last.served || []);
      paused_ms = (last.paused_ms || 0) + Math.max(0, Date.now() - last.at) + (last.stopped_ms || 0);
      audio.volume = last.level || audio.volume;
      at("level").value = String(Math.round(audio.volume * 100));
      showLevel();
      log.add(`the page was closed or failed at ${clockTime(last.at)}; ${how}`, last.place_s, where(last.place_s));
    };
    at("again-here").onclick = async () => {
      resume("continued at exactly this place");
      await jump(place);
      const index = holdAt(audio.currentTime + late_s);
      if (index >= 0 && !served.has(index)) halt(index);
      else await play("Playing.");
    };
    at("again-question").onclick = async () => {
      resume("continued from the start of this question");
      await goOnFromQuestion(last.place_s);
    };
    at("again-new").onclick = () => { at("again-sure").hidden = false; at("again-no").focus(); };
    at("again-no").onclick = () => { at("again-sure").hidden = true; at("again-new").focus(); };
    at("again-yes").onclick = () => {
      at("again").hidden = true;
      log.add("set back to the beginning", last.place_s, where(last.place_s));
      keep.write("place", {place_s: 0, phase: "ended", at: Date.now()});
      show();
      at("main").focus();
    };
  }

  // ---- practice

  async function visit(s) {
    if (!["ready", "playing", "paused", "halted", "ended"].includes(phase)) return;
    const wasPlaying = phase === "playing";
    await jump(s);
    served = new Set(data.halts.map((_, index) => index).filter(index => data.halts[index][1] / 1000 <= audio.currentTime));
    if (phase === "ready" || phase === "ended" || phase === "halted") enter("paused", "Paused.");
    if (wasPlaying) schedule();
    show();
  }

  // ---- hands

  function press() {
    if (performance.now() < guardUntil) return;
    if (phase === "ready" || (phase === "ended" && isPractice)) start();
    else if (phase === "playing") pause("paused", "Paused. The clock is stopped.");
    else if (phase === "paused" || phase === "halted") goOn();
  }

  at("main").addEventListener("click", press);
  document.addEventListener("keydown", event => {
    if (event.key !== " " || event.repeat || event.ctrlKey || event.altKey || event.metaKey) return;
    if (event.target.closest("button, select, input, a, textarea")) return;
    event.preventDefault();
    if (["playing", "paused", "halted"].includes(phase)) press();
  });
  at("main").addEventListener("keydown", event => { if (event.repeat) event.preventDefault(); });
  at("try").addEventListener("click", trySound);
  at("look-again").addEventListener("click", begin);
  at("level").addEventListener("input", () => { audio.volume = at("level").value / 100; showLevel(); });
  at("reason").addEventListener("change", () => log.change(pauseRow, {reason: at("reason").value}));
  at("detail").addEventListener("input", () => log.change(pauseRow, {detail: at("detail").value}));
  at("from-question").addEventListener("click", () => {
    if (phase === "paused" && performance.now() >= guardUntil) goOnFromQuestion();
  });
  at("view").addEventListener("click", () => {
    const isOn = document.body.classList.toggle("candidates");
    at("view").textContent = isOn ? "Invigilator’s view" : "Candidates’ view";
  });
  document.addEventListener("keydown", event => {
    if (event.key === "Escape" && document.body.classList.contains("candidates")) at("view").click();
  });
  if (at("captions")) {
    at("captions").addEventListener("click", () => {
      at("caption").hidden = !at("caption").hidden;
      at("captions").textContent = at("caption").hidden ? "Show captions" : "Hide captions";
      showTimed(audio.currentTime);
    });
  }
  if (isPractice) {
    at("back").addEventListener("click", () => visit(audio.currentTime - 5));
    at("on").addEventListener("click", () => visit(audio.currentTime + 5));
    at("speed").addEventListener("change", () => {
      audio.preservesPitch = true;
      audio.playbackRate = Number(at("speed").value);
    });
  }
  const heading = () => [document.querySelector("h1").textContent, document.querySelector("header p").textContent];
  at("save-csv").addEventListener("click", () => saveAs(`${data.name}_log.csv`, log.csv(), "text/csv"));
  at("save-text").addEventListener("click", () => saveAs(`${data.name}_log.txt`, log.text(heading()), "text/plain"));
  at("print").addEventListener("click", () => window.print());

  // ---- what the computer does by itself

  audio.addEventListener("ended", finish);
  audio.addEventListener("pause", () => {
    if (phase === "playing" && !audio.ended) pause("paused by the computer", "The computer paused the sound. Look at its sound output, then continue.");
  });
  audio.addEventListener("play", () => {
    if (!["starting", "playing", "ready", "trying"].includes(phase)) audio.pause();
  });
  audio.addEventListener("seeking", () => {
    if (isSeeking || isPractice) return;
    if (Math.abs(audio.currentTime - place_s) > 0.3) audio.currentTime = place_s;
  });
  audio.addEventListener("ratechange", () => {
    if (!isPractice && audio.playbackRate !== 1) audio.playbackRate = 1;
  });
  audio.addEventListener("waiting", () => {
    const since_s = audio.currentTime;
    setTimeout(() => {
      if (phase === "playing" && audio.currentTime === since_s) {
        trouble("The recording is slow to come. If this goes on, pause and use the spare copy.");
      }
    }, 1500);
  });
  audio.addEventListener("playing", () => trouble(""));
  audio.addEventListener("error", () => {
    if (phase !== "playing") return;
    pause("paused: the recording cannot be read any more", "The recording cannot be read any more.");
    trouble("Is the stick or drive still there? Use the spare copy and the running sheet.");
  });
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState === "visible" && phase === "playing") stayAwake();
    keepPlace();
  });
  window.addEventListener("pagehide", () => { keepPlace(); only.leave(); });
  window.addEventListener("pageshow", event => { if (event.persisted) location.reload(); });
  window.addEventListener("beforeunload", event => {
    if (["playing", "paused", "halted"].includes(phase)) event.preventDefault();
  });
  if ("mediaSession" in navigator) {
    // the keys of a keyboard or headset may pause; they never start, seek or skip
    const actions = {pause: () => pause("paused by a media key", "Paused. The clock is stopped.")};
    for (const name of ["play", "pause", "stop", "seekbackward", "seekforward", "seekto", "previoustrack", "nexttrack"]) {
      try { navigator.mediaSession.setActionHandler(name, actions[name] || (() => {})); } catch { /* not known here */ }
    }
  }

  audio.volume = at("level").value / 100;
  setUpLook(at("smaller"), at("larger"), at("contrast"));
  everyTick(TICK_MS, tick);
  requestAnimationFrame(frame);
  prepare();
})();
