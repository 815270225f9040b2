// ---- words: the text and its cards, saved while somebody writes ---------------------------------

document.documentElement.classList.add("lively"); // which saves by itself

const form = one("#words");
const field = one("#text");
const cardList = one("#cards");
const WHOLE_MS = 3000; // after what is wrong was shown
let queue = Promise.resolve(); // savings go one after another
let nSaving = 0; // savings that are not over
let round = 0;
let textTimer = 0;
let wholeTimer = 0;
let isTextDirty = false;

function say(words, where) {
  const told = where ?? one("#saved");
  if (told && told.textContent !== words) told.textContent = words;
}

function queued(work) {
  nSaving += 1;
  queue = queue.then(work, work).finally(() => { nSaving -= 1; });
  return queue;
}

async function sent(address, body, more) {
  const answer = await ask(address, {
    method: "POST",
    headers: { "content-type": "application/x-www-form-urlencoded" },
    body,
    ...more,
  });
  if (answer === null) return null;
  const lost = { message: "this cannot be saved", hint: "start the desk again" };
  const found = await answer.json().catch(() => lost);
  return { ok: answer.ok, status: answer.status, found };
}

function took(found) {
  for (const [name, can] of [["back", found.can_go_back], ["again", found.can_go_again]]) {
    const button = one(`button[value="${name}"]`);
    if (button) button.disabled = !can;
  }
}

async function saveText() {
  if ("conflict" in form.dataset || !isTextDirty) return;
  const mine = round;
  isTextDirty = false;
  const answer = await sent(form.dataset.state, new URLSearchParams({ base: form.elements.base.value, text: field.value }));
  if (answer === null) return;
  if (!answer.ok) {
    isTextDirty = true;
    say(`Not saved: ${answer.found.message}. ${answer.found.hint}`);
    if (answer.status === 409) form.dataset.conflict = "";
    return;
  }
  form.elements.base.value = answer.found.base;
  took(answer.found);
  if (mine === round) say("Saved.");
  lookAgain(mine);
}

async function saveCard(card, button) {
  if (!card.isConnected) return false;
  const told = card.querySelector(".saved");
  const body = new URLSearchParams(new FormData(card));
  body.append(button?.name ?? "how", button?.value ?? "change");
  const mine = round;
  delete card.dataset.dirty;
  const answer = await sent(card.dataset.card, body);
  if (answer === null) return false;
  if (!answer.ok) {
    card.dataset.dirty = "";
    say(`Not saved: ${answer.found.message}.${answer.found.hint ? ` ${answer.found.hint}.` : ""}`, told);
    return false;
  }
  const { found } = answer;
  const from = Number(card.elements.card.value);
  const more = found.text.split("\n").length - field.value.replaceAll("\r\n", "\n").split("\n").length;
  for (const other of cardList.querySelectorAll("form")) {
    const line = Number(other.elements.card.value);
    if (other !== card && line > from && !isTextDirty) setLine(other, line + more);
  }
  setLine(card, found.line);
  card.elements.mark.value = found.mark;
  took(found);
  if (!isTextDirty) {
    if (field.value !== found.text) field.value = found.text;
    form.elements.base.value = found.base;
  }
  if (mine === round) say("Saved.", told);
  lookAgain(mine);
  return true;
}

function setLine(card, line) {
  card.elements.card.value = line;
  card.closest("li").dataset.line = line;
}

// What is said and what is wrong comes from the reading, which takes a moment longer.

async function lookAgain(mine) {
  const looked = await ask(`${form.dataset.state}?look`);
  if (looked === null || !looked.ok || mine !== round) return;
  await showAgain(mine);
  clearTimeout(wholeTimer);
  wholeTimer = setTimeout(() => lookWholly(mine), WHOLE_MS);
}

// Later all is read anew; where that differs from what was shown, it counts.
async function lookWholly(mine) {
  if (mine !== round) return;
  const answer = await ask(`${form.dataset.state}?look=whole`);
  if (answer === null || !answer.ok) return;
  const { differs } = await answer.json();
  if (differs) await showAgain(mine);
}

async function showAgain(mine) {
  if (mine !== round) return;
  const page = await fetched(location.pathname + location.search);
  if (page && mine === round) show(page);
}

function fetched(address) {
  return new Promise((resolve) => {
    const request = new XMLHttpRequest();
    request.responseType = "document";
    request.onload = () => resolve(request.status === 200 ? request.response : null);
    request.onerror = () => resolve(null);
    request.open("GET", address);
    request.send();
  });
}

function swap(query, here, there) {
  const old = here.querySelector(query);
  const fresh = there.querySelector(query);
  if (old && fresh) old.replaceWith(document.importNode(fresh, true));
  else if (old) old.remove();
  else if (fresh) here.querySelector("form > .act").before(document.importNode(fresh, true));
}

function show(page) {
  for (const query of ["h1", "#verdict", "#problems"]) {
    const fresh = page.querySelector(query);
    if (fresh) one(query).replaceChildren(...[...fresh.childNodes].map((node) => document.importNode(node, true)));
  }
  const kept = new Map();
  for (const item of cardList.children) {
    const isUsed = item.contains(document.activeElement) || item.querySelector("form[data-dirty], .heard");
    if (isUsed) kept.set(item.dataset.line, item);
  }
  let at = cardList.firstElementChild;
  for (const fresh of page.querySelectorAll("#cards > li")) {
    const own = kept.get(fresh.dataset.line);
    if (!own) {
      cardList.insertBefore(document.importNode(fresh, true), at);
      continue;
    }
    kept.delete(fresh.dataset.line);
    while (at && at !== own) at = dropped(at, kept);
    at = own.nextElementSibling;
    own.id = fresh.id;
    const wasIn = own.querySelector(".told").contains(document.activeElement);
    for (const query of [".told", ".said", ".facts-of"]) swap(query, own, fresh);
    const [mine, theirs] = [own.querySelector("form"), fresh.querySelector("form")];
    if (wasIn) own.querySelector("h4 a").focus(); // what was chosen is gone with its buttons
    for (const name of ["hear", ...("dirty" in mine.dataset ? [] : ["mark"])]) mine.elements[name].value = theirs.elements[name].value;
  }
  while (at) at = dropped(at, kept);
}

function dropped(item, kept) {
  const following = item.nextElementSibling;
  if (![...kept.values()].includes(item)) item.remove();
  return following;
}

// ---- what somebody does ---------------------------------------------------------------------------

const timers = new WeakMap();
const SOON_MS = 60;
const WAS_SAID = "What was said";
const NOT_SAID = "It could not be said: see why";

function flush(card) {
  clearTimeout(timers.get(card));
  if (isTextDirty) queued(saveText);
  return queued(() => saveCard(card));
}

async function hear(card, button) {
  const body = new URLSearchParams(new FormData(card));
  body.append(button.name, button.value);
  const told = card.querySelector(".saved");
  say("It is being voiced …", told);
  const answer = await ask(card.action, { method: "POST", headers: { "content-type": "application/x-www-form-urlencoded" }, body });
  if (answer === null) return;
  const address = new URL(answer.url).pathname;
  if (!answer.ok || !address.startsWith("/job/")) return say("This could not be said: look at what is wrong in the card.", told);
  const now = await jobWhen(address, ({ state, sounding }) => state !== "running" || sounding);
  if (now === null) return;
  card.querySelector(".heard")?.remove();
  const place = element("p", "", "heard");
  const isHeard = now.state === "done" || now.state === "running";
  const link = element("a", isHeard ? WAS_SAID : NOT_SAID);
  link.href = address;
  if (isHeard) {
    const sound = element("audio", "");
    sound.controls = true;
    sound.autoplay = true;
    sound.src = `${address}/${now.state === "done" ? "page" : "sound"}`;
    sound.setAttribute("aria-label", "What you asked to hear");
    place.append(sound);
    if (now.state === "running") followSound(address, sound, link);
  }
  place.append(link);
  card.querySelector(".act").after(place);
  return say("", told);
}

// What is heard while it is voiced can be heard again, from any place, once it is whole.
async function followSound(address, sound, link) {
  const now = await jobWhen(address, ({ state }) => state !== "running");
  if (now === null) return;
  if (now.state !== "done") {
    link.textContent = NOT_SAID;
    return;
  }
  const whole = () => {
    sound.autoplay = false;
    sound.src = `${address}/page`;
  };
  if (sound.ended) whole();
  else sound.addEventListener("ended", whole, { once: true });
}

async function jobWhen(address, isSo) {
  for (;;) {
    const answer = await ask(`${address}/state`);
    if (answer === null || !answer.ok) return null;
    const now = await answer.json();
    if (isSo(now)) return now;
    await new Promise((resolve) => setTimeout(resolve, SOON_MS));
  }
}

if (form && !("conflict" in form.dataset)) {
  field.addEventListener("input", () => {
    round += 1;
    isTextDirty = true;
    say("");
    clearTimeout(textTimer);
    textTimer = setTimeout(() => queued(saveText), PAUSE_MS);
  });

  cardList.addEventListener("input", (event) => {
    const card = event.target.form;
    if (!card || event.target.name.startsWith("new_")) return;
    round += 1;
    card.dataset.dirty = "";
    say("", card.querySelector(".saved"));
    clearTimeout(timers.get(card));
    timers.set(card, setTimeout(() => flush(card), PAUSE_MS));
  });

  cardList.addEventListener("submit", async (event) => {
    const [card, button] = [event.target, event.submitter];
    if (button && (button.value === "change" || ["choose", "settle"].includes(button.name))) {
      event.preventDefault();
      clearTimeout(timers.get(card));
      round += 1;
      if (isTextDirty) queued(saveText);
      return queued(() => saveCard(card, button));
    }
    if (button?.value === "say") {
      event.preventDefault();
      await ("dirty" in card.dataset ? flush(card) : queue);
      return hear(card, button);
    }
    const others = [...cardList.querySelectorAll("form[data-dirty]")].filter((one) => one !== card);
    if (others.length || isTextDirty || nSaving) {
      event.preventDefault();
      clearTimeout(textTimer);
      if (isTextDirty) queued(saveText);
      for (const other of others) flush(other);
      await queue;
      if (isTextDirty || others.some((other) => "dirty" in other.dataset)) {
        return say("Something else on this page could not be saved yet: look at it first.", card.querySelector(".saved"));
      }
      return card.requestSubmit(button);
    }
    delete card.dataset.dirty; // it goes with the form
  });

  form.addEventListener("submit", async (event) => {
    const dirty = [...cardList.querySelectorAll("form[data-dirty]")];
    if (!dirty.length && !nSaving) { // what is being saved would be taken for somebody else's change
      isTextDirty = false; // it goes with the form
      return;
    }
    event.preventDefault();
    for (const card of dirty) flush(card);
    await queue;
    if (!cardList.querySelector("form[data-dirty]")) form.requestSubmit(event.submitter);
  });

  addEventListener("pagehide", () => {
    const more = { keepalive: true };
    for (const card of cardList.querySelectorAll("form[data-dirty]")) {
      const body = new URLSearchParams(new FormData(card));
      body.append("how", "change");
      sent(card.dataset.card, body, more);
    }
    if (isTextDirty) sent(form.dataset.state, new URLSearchParams({ base: form.elements.base.value, text: field.value }), more);
  });

  if (one("#verdict [data-reload]")) lookAgain(round);
}

document.addEventListener("click", (event) => {
  const link = event.target.closest("a[data-line]");
  if (!link || !field) return;
  event.preventDefault();
  const lines = field.value.split("\n");
  const before = lines.slice(0, Number(link.dataset.line) - 1);
  const start = before.reduce((sum, line) => sum + line.length + 1, 0) + Number(link.dataset.column) - 1;
  const line = lines[before.length] ?? "";
  field.focus();
  field.setSelectionRange(start, start + (Number(link.dataset.length) || line.length));
  field.scrollTop = (before.length - 6) * parseFloat(getComputedStyle(field).lineHeight);
});

// ---- a page that is pasted -------------------------------------------------------------------------

const paste = one("#paste");

if (paste) {
  const [html, pasted] = [paste.elements.html, paste.elements.pasted];
  pasted.addEventListener("paste", (event) => {
    html.value = pasted.value.trim() ? "" : event.clipboardData.getData("text/html");
  });
  pasted.addEventListener("input", (event) => {
    if (event.inputType !== "insertFromPaste") html.value = ""; // what was written over it counts
  });
}
