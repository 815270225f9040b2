// Every page works without this script: it saves while somebody writes, and looks again by itself.
"use strict";

const PAUSE_MS = 400;
const LOOK_MS = 500;
const LOOK_SOUND_MS = 100;
const PULSE_MS = 20000;

const one = (query) => document.querySelector(query);

function element(name, words, kind) {
  const made = document.createElement(name);
  made.textContent = words;
  if (kind) made.className = kind;
  return made;
}

// ---- is the desk still there? -----------------------------------------------------------------

let isGone = false;

function gone() {
  if (isGone) return;
  isGone = true;
  const said = element("p", "The desk has ended. What was saved is in its folder; start the desk again to go on.", "gone");
  said.setAttribute("role", "alert");
  one("main").prepend(said);
  const saved = one("#saved");
  if (saved) saved.textContent = "Not saved any more: copy your text if you have just written something.";
}

async function ask(address, options) {
  try {
    return await fetch(address, { credentials: "same-origin", ...options });
  } catch {
    gone();
    return null;
  }
}

setInterval(() => {
  if (document.visibilityState === "visible" && !isGone) ask("/pulse");
}, PULSE_MS);

// ---- pages that wait for the reading ------------------------------------------------------------

const reload = one("[data-reload]");
if (reload && !one("#words")) setTimeout(() => location.reload(), Number(reload.dataset.reload));

// ---- a job --------------------------------------------------------------------------------------

const job = one("#job");

async function lookAtJob() {
  const answer = await ask(job.dataset.job);
  if (answer === null) return;
  if (!answer.ok) return location.reload();
  const now = await answer.json();
  const sound = one("#sounding");
  if (now.state !== "running" || (now.sounding && !sound)) return afterSound(sound);
  one("#stage").textContent = now.words;
  one("#left").textContent = now.left;
  const bar = one("#bar");
  if (now.share === null) bar.removeAttribute("value");
  else bar.value = now.share;
  const told = now.share === null ? now.words : `${now.words.split(":")[0]}, ${Math.floor(now.share / 25) * 25} per cent`;
  if (one("#told").textContent !== told) one("#told").textContent = told;
  setTimeout(lookAtJob, job.dataset.sound && !sound ? LOOK_SOUND_MS : LOOK_MS);
}

// Nobody is interrupted who listens: what was heard to its end is noted first (player.js).
function afterSound(sound) {
  if (!sound || sound.paused) return location.reload();
  sound.addEventListener("pause", () => { if (!sound.ended) location.reload(); });
}

if (job) setTimeout(lookAtJob, job.dataset.sound ? LOOK_SOUND_MS : LOOK_MS);

// ---- a file that is let fall ----------------------------------------------------------------------

const drop = one("#drop");

if (drop) {
  for (const name of ["dragover", "dragleave", "drop"]) {
    drop.addEventListener(name, (event) => {
      event.preventDefault();
      drop.classList.toggle("dropping", name === "dragover");
      if (name === "drop" && event.dataTransfer.files.length) one("#file").files = event.dataTransfer.files;
    });
  }
}
