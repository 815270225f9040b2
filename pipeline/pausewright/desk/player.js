// ---- the player on the strip of time ----------------------------------------------------------

const player = one("#player");
const listening = one("#listening");
const TELL_MS = 10000;
const LONGEST_STEP_S = 1.5;

let spanStart = null;
let spanEnd = null;
let isTelling = false;
const spans = [];

function counter(seconds) {
  const whole = Math.floor(seconds);
  return `${Math.floor(whole / 60)}:${String(whole % 60).padStart(2, "0")}`;
}

function closeSpan() {
  if (spanStart !== null && spanEnd > spanStart) spans.push(`${spanStart.toFixed(3)}-${spanEnd.toFixed(3)}`);
  spanStart = spanEnd = null;
}

async function tellPlayed() {
  if (!spans.length || isTelling) return;
  isTelling = true;
  const told = spans.splice(0);
  const answer = await ask(listening.dataset.played, {
    method: "POST",
    headers: { "content-type": "application/x-www-form-urlencoded" },
    body: new URLSearchParams({ version: listening.dataset.version, edition: listening.dataset.edition, spans: told.join(" ") }),
  });
  isTelling = false;
  if (answer === null || !answer.ok) return;
  const found = await answer.json();
  const words = `Version ${listening.dataset.version}, ${found.sentence[0].toLowerCase()}${found.sentence.slice(1)}.`;
  if (one("#heard-so-far").textContent !== words) one("#heard-so-far").textContent = words;
  const next = one("#next-unheard a");
  if (found.missing.length) {
    const [number, at] = found.missing[0];
    next.dataset.at = at;
    next.href = `${player.getAttribute("src")}#t=${at}`;
    next.textContent = `Play what nobody has heard yet: question ${number}`;
  } else {
    delete next.dataset.at;
    next.href = "#sign";
    next.textContent = "Sign for it";
  }
}

function showPosition() {
  const now = player.currentTime;
  const moments = [...document.querySelectorAll("#moments a")];
  const here = moments.filter((link) => Number(link.dataset.at) <= now).pop();
  const words = here ? here.textContent.replace(/^\S+\s/, "").trim() : "";
  one("#position").textContent = `${counter(now)}${words ? `: ${words}` : ""}`;
  const note = one("#note-at");
  if (note && document.activeElement !== note && now > 0) note.value = counter(now);
  const line_s = Number(listening.dataset.line);
  const row = Math.floor(now / line_s);
  document.querySelectorAll(".is-player .strip-line").forEach((line, n) => {
    const old = line.querySelector(".strip-now");
    if (n !== row) return old && old.remove();
    const mark = old || line.appendChild(document.createElementNS("http://www.w3.org/2000/svg", "rect"));
    mark.setAttribute("class", "strip-now");
    mark.setAttribute("y", "12");
    mark.setAttribute("width", "3");
    mark.setAttribute("height", "36");
    mark.setAttribute("x", `${(100 * (now - row * line_s)) / line_s}%`);
  });
}

function cannotPlay() {
  one("#position").textContent = "This browser cannot play the track here: is there a sound device?";
}

function playFrom(seconds) {
  player.currentTime = seconds;
  player.play().catch(cannotPlay);
}

if (player) {
  player.addEventListener("error", cannotPlay); // some browsers find out only while they play
  player.addEventListener("timeupdate", () => {
    const now = player.currentTime;
    showPosition();
    if (player.paused || player.seeking || player.playbackRate !== 1 || player.muted || player.volume === 0) return closeSpan();
    if (spanStart === null || now < spanEnd || now - spanEnd > LONGEST_STEP_S) {
      closeSpan();
      spanStart = now;
    }
    spanEnd = now;
  });
  player.addEventListener("playing", () => {
    if (spanStart === null && player.playbackRate === 1 && !player.muted) spanStart = spanEnd = player.currentTime;
  });
  for (const name of ["pause", "ended", "seeking"]) {
    player.addEventListener(name, () => {
      const now = player.currentTime;
      const goesOn = spanStart !== null && now >= spanEnd && now - spanEnd < LONGEST_STEP_S;
      if (name !== "seeking" && goesOn) spanEnd = now;
      closeSpan();
      if (name !== "seeking") tellPlayed();
    });
  }
  setInterval(() => {
    if (spanStart !== null && spanEnd > spanStart) {
      const from = spanEnd;
      closeSpan();
      spanStart = spanEnd = from;
    }
    tellPlayed();
  }, TELL_MS);
  document.addEventListener("click", (event) => {
    const link = event.target.closest("[data-at]");
    if (link) {
      event.preventDefault();
      return playFrom(Number(link.dataset.at));
    }
    const line = event.target.closest(".is-player .strip-line");
    if (!line) return;
    const row = [...document.querySelectorAll(".is-player .strip-line")].indexOf(line);
    const box = line.getBoundingClientRect();
    playFrom((row + (event.clientX - box.left) / box.width) * Number(listening.dataset.line));
  });
}

// ---- what was asked to be heard, to its end ---------------------------------------------------

const asked = one("[data-heard]");
if (asked) asked.addEventListener("ended", async () => {
  await ask(asked.dataset.heard, { method: "POST", headers: { "content-type": "application/x-www-form-urlencoded" }, body: "" });
  if (asked.id === "sounding") location.reload();
});

// ---- the moment of a stop, picked from the list -----------------------------------------------

document.addEventListener("click", (event) => {
  const link = event.target.closest("a[data-place]");
  if (!link) return;
  event.preventDefault();
  const place = one("#place");
  place.value = link.dataset.place;
  place.focus();
});
