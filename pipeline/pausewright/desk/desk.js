// Every page works without this script: it saves while somebody writes, and looks again by itself.
"use strict";

const PAUSE_MS = 400;
const LOOK_MS = 500;
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
  if (now.state !== "running") return location.reload();
  one("#stage").textContent = now.words;
  one("#left").textContent = now.left;
  const bar = one("#bar");
  if (now.share === null) bar.removeAttribute("value");
  else bar.value = now.share;
  const told = now.share === null ? now.words : `${now.words.split(":")[0]}, ${Math.floor(now.share / 25) * 25} per cent`;
  if (one("#told").textContent !== told) one("#told").textContent = told;
  setTimeout(lookAtJob, LOOK_MS);
}

if (job) setTimeout(lookAtJob, LOOK_MS);

// ---- words --------------------------------------------------------------------------------------

const form = one("#words");
const field = one("#text");
let timer = 0;
let round = 0;
let isSaving = false;
let isDue = false;

function problemLine(row) {
  const item = element("li", "", row.severity);
  item.append(element("strong", row.severity === "error" ? "Must be changed" : "Look at it"), " ");
  if (row.is_own) {
    const link = element("a", `line ${row.line}`);
    link.href = "#text";
    link.dataset.line = row.line;
    link.dataset.column = row.column;
    link.dataset.length = row.length;
    item.append(link);
  } else {
    item.append(element("bdi", row.file), `, line ${row.line}`);
  }
  item.append(`: ${row.message}`);
  if (row.hint) item.append(document.createElement("br"), element("span", row.hint, "soft"));
  return item;
}

function showProblems(looked) {
  const list = element("ul", "", "problems");
  list.append(...looked.problems.map(problemLine));
  const parts = looked.problems.length ? [list] : [element("p", `Nothing is wrong. Questions: ${looked.n_questions}.`)];
  if (looked.n_left_out) parts.push(element("p", `and ${looked.n_left_out} more`, "soft"));
  one("#problems").replaceChildren(...parts);
}

function say(words) {
  const saved = one("#saved");
  if (saved.textContent !== words) saved.textContent = words;
}

async function save() {
  if (isSaving) {
    isDue = true;
    return;
  }
  isSaving = true;
  const mine = round;
  const answer = await ask(form.dataset.state, {
    method: "POST",
    headers: { "content-type": "application/x-www-form-urlencoded" },
    body: new URLSearchParams({ base: form.elements.base.value, text: field.value }),
  });
  isSaving = false;
  if (answer === null) return;
  const found = await answer.json().catch(() => ({ message: "this cannot be saved", hint: "start the desk again" }));
  if (!answer.ok) {
    say(`Not saved: ${found.message}. ${found.hint}`);
    if (answer.status === 409) form.elements.base.closest("form").dataset.conflict = "";
    return;
  }
  form.elements.base.value = found.base;
  for (const [name, can] of [["back", found.can_go_back], ["again", found.can_go_again]]) {
    const button = one(`button[value="${name}"]`);
    if (button) button.disabled = !can;
  }
  if (mine === round) say("Saved.");
  if (isDue) {
    isDue = false;
    return save();
  }
  const looked = await ask(`${form.dataset.state}?look`);
  if (looked !== null && looked.ok && mine === round) showProblems(await looked.json());
}

if (form && !("conflict" in form.dataset)) {
  field.addEventListener("input", () => {
    round += 1;
    say("");
    clearTimeout(timer);
    timer = setTimeout(() => {
      if (!("conflict" in form.dataset)) save();
    }, PAUSE_MS);
  });
  if (one("#problems [data-reload]")) {
    ask(`${form.dataset.state}?look`).then(async (looked) => {
      if (looked !== null && looked.ok) showProblems(await looked.json());
    });
  }
}

document.addEventListener("click", (event) => {
  const link = event.target.closest("a[data-line]");
  if (!link || !field) return;
  event.preventDefault();
  const lines = field.value.split("\n");
  const before = lines.slice(0, Number(link.dataset.line) - 1);
  const start = before.reduce((sum, line) => sum + line.length + 1, 0) + Number(link.dataset.column) - 1;
  field.focus();
  field.setSelectionRange(start, start + Number(link.dataset.length));
  field.scrollTop = (before.length - 6) * parseFloat(getComputedStyle(field).lineHeight);
});

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
