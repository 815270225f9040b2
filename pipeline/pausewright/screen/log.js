// What happened and when, by the computer's clock; and times in words.
const two = n => String(n).padStart(2, "0");

function clockTime(ms, withSeconds = true) {
  const at = new Date(ms);
  return `${two(at.getHours())}:${two(at.getMinutes())}${withSeconds ? `:${two(at.getSeconds())}` : ""}`;
}

function dayOf(ms) {
  const at = new Date(ms);
  return `${at.getFullYear()}-${two(at.getMonth() + 1)}-${two(at.getDate())}`;
}

function placeTime(s) {
  const whole = Math.floor(s);
  return `${Math.floor(whole / 3600)}:${two(Math.floor(whole / 60) % 60)}:${two(whole % 60)}`;
}

function counted(n, word) { return `${n} ${word}${n === 1 ? "" : "s"}`; }

// Return a length of time in words, whole seconds.
function lengthInWords(s) {
  const whole = Math.max(0, Math.round(s));
  const parts = [];
  if (whole >= 3600) parts.push(counted(Math.floor(whole / 3600), "hour"));
  if (Math.floor(whole / 60) % 60) parts.push(counted(Math.floor(whole / 60) % 60, "minute"));
  if (whole % 60 || !parts.length) parts.push(counted(whole % 60, "second"));
  return parts.join(" ");
}

class Log {
  constructor(keep, rows, table, empty) {
    Object.assign(this, {keep, rows, table, empty, events: []});
  }

  load(events) {
    this.events = Array.isArray(events) ? events : [];
    this.show();
  }

  add(what, place_s, where) {
    const event = {at: Date.now(), place_s, where, what, reason: "", detail: ""};
    this.events.push(event);
    this.changed();
    return this.events.length - 1;
  }

  change(index, changes) {
    if (!this.events[index]) return;
    Object.assign(this.events[index], changes);
    this.changed();
  }

  changed() {
    this.keep.write("log", this.events);
    this.show();
  }

  told(event) {
    const why = [event.reason, event.detail].filter(Boolean).join(": ");
    return why ? `${event.what} (${why})` : event.what;
  }

  show() {
    this.table.hidden = !this.events.length;
    this.empty.hidden = Boolean(this.events.length);
    this.rows.replaceChildren(...this.events.map(event => {
      const row = document.createElement("tr");
      for (const text of [`${dayOf(event.at)} ${clockTime(event.at)}`,
        `${placeTime(event.place_s)} ${event.where}`, this.told(event)]) {
        const cell = document.createElement("td");
        cell.textContent = text;
        row.append(cell);
      }
      return row;
    }));
  }

  // A table for any spreadsheet; no cell can be taken for a formula.
  csv() {
    const cell = text => {
      const safe = /^[=+\-@\t\r]/.test(text) ? `'${text}` : String(text);
      return `"${safe.replaceAll('"', '""')}"`;
    };
    const rows = this.events.map(e => [dayOf(e.at), clockTime(e.at), new Date(e.at).toISOString(),
      placeTime(e.place_s), e.place_s.toFixed(3), e.where, e.what, e.reason, e.detail]);
    const head = ["date", "clock", "clock (UTC)", "place", "place in seconds", "where", "what", "reason", "detail"];
    return "\ufeff" + [head, ...rows].map(row => row.map(cell).join(",")).join("\r\n") + "\r\n";
  }

  text(heading) {
    const rows = this.events.map(e =>
      `${dayOf(e.at)} ${clockTime(e.at)}  ${placeTime(e.place_s)}  ${e.where}  –  ${this.told(e)}`);
    return [...heading, "", ...rows, ""].join("\r\n");
  }
}

function saveAs(name, text, type) {
  const link = document.createElement("a");
  link.href = URL.createObjectURL(new Blob([text], {type}));
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60000);
}
