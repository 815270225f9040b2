// A Firefox over WebDriver BiDi that does what it is told, line by line, as a person's hand would.
//
//     node hand.mjs FIREFOX        reads {do: NAME, …} from its input, answers {gave: …} or {wrong: …}
//
// It ends with its input. What is looked for is found as people find it: by the words that are seen.
// BiDi gives keys to the page even where the browser's own buttons have the focus: then buttons of the page do
// nothing. So Tab goes on there, as on a desk, which takes a Firefox that may be asked about itself.

import {createInterface} from "node:readline";
import puppeteer from "puppeteer-core";

const browser = await puppeteer.launch({
  browser: "firefox", executablePath: process.argv[2], headless: true,
  args: ["--remote-allow-system-access"], extraPrefsFirefox: {"media.autoplay.default": 0},
});
let context = null;
let page = null;
let complaints = [];

const PAGE_MS = 60000;
const SETTLE_MS = 1200;
const LOOK_MS = 50;
const LONGEST_MS = 800; // between two looks while work takes long: looking takes time too
const MOST_OWN = 40; // buttons of the browser itself
const rest = (ms) => new Promise((done) => setTimeout(done, ms));

// In the page: {kind, name, exact} → the first element that is shown and is called so.
const FIND = `(wanted) => {
  const plain = (text) => (text ?? "").replace(/\\s+/g, " ").trim();
  const isShown = (one) => one.getClientRects().length > 0 && getComputedStyle(one).visibility === "visible";
  const named = (one) => one.getAttribute("aria-label") ?? (
    wanted.kind === "field" ? [...one.labels ?? []].map((label) => label.textContent).join(" ") : one.innerText);
  const fits = (text) => wanted.exact
    ? plain(text) === wanted.name : plain(text).toLowerCase().includes(wanted.name.toLowerCase());
  if (wanted.kind === "part") return document.querySelector(wanted.name);
  if (wanted.kind === "words") return document.body && fits(document.body.innerText) ? document.body : null;
  const query = {link: "a[href]", button: "button", field: "input, select, textarea"}[wanted.kind];
  return [...document.querySelectorAll(query)].find((one) => isShown(one) && fits(named(one))) ?? null;
}`;
const IS_THERE = `(wanted) => (${FIND})(wanted) !== null`;
const IS_AT = `(wanted) => document.activeElement !== null && (${FIND})(wanted) === document.activeElement`;

// A page that is being left answers nothing: the next one is asked.
async function asked(script, argument) {
  const until = Date.now() + PAGE_MS;
  for (;;) {
    try {
      return await page.evaluate(`(${script})(${JSON.stringify(argument ?? null)})`);
    } catch (left) {
      if (Date.now() > until) throw left;
      await rest(LOOK_MS);
    }
  }
}

async function whole() {
  while (await asked("() => document.readyState") !== "complete") await rest(LOOK_MS);
}

// In the browser's own window: Tab, then the name of what has the focus; the page is a <browser>.
const TAB_OUTSIDE = `(async () => {
  const keyboard = Cc["@mozilla.org/text-input-processor;1"].createInstance(Ci.nsITextInputProcessor);
  if (!keyboard.beginInputTransactionForTests(window)) throw new Error("the window takes no keys");
  const key = new KeyboardEvent("", {key: "Tab", code: "Tab", keyCode: KeyboardEvent.DOM_VK_TAB});
  keyboard.keydown(key);
  keyboard.keyup(key);
  await new Promise((done) => setTimeout(done, ${LOOK_MS}));
  return document.activeElement.localName;
})()`;
const HAS_FOCUS = "() => document.hasFocus()";

// Goes through the browser's own buttons, until the page has the focus again; returns how many keys that took.
async function throughOwnButtons() {
  const scope = {"moz:scope": "chrome"};
  const {result: {contexts}} = await browser.connection.send("browsingContext.getTree", {...scope, maxDepth: 0});
  for (let nKeys = 1; nKeys <= MOST_OWN; nKeys += 1) {
    const asks = {expression: TAB_OUTSIDE, target: {context: contexts[0].context}, awaitPromise: true};
    const {result: {result}} = await browser.connection.send("script.evaluate", asks);
    if (result.value !== "browser") continue;
    const until = Date.now() + PAGE_MS;
    while (!await asked(HAS_FOCUS) && Date.now() < until) await rest(LOOK_MS);
    return nKeys;
  }
  throw new Error("Tab does not lead back into the page");
}

const DO = {
  async open({url, own, size}) {
    context = await browser.createBrowserContext();
    page = await context.newPage();
    complaints = [];
    page.on("request", (request) => {
      // the browser's own controls hold their signs in addresses that begin so
      if (!request.url().startsWith(own) && !request.url().startsWith("data:")) complaints.push(request.url());
    });
    page.on("console", (said) => complaints.push(`${said.type()}: ${said.text()}`));
    page.on("pageerror", (error) => complaints.push(String(error)));
    await page.setViewport(size);
    await page.goto(url);
    const until = Date.now() + PAGE_MS;
    while (page.url() !== own && Date.now() < until) await rest(LOOK_MS);
    return [page.url() === own, await browser.version()];
  },
  async close() {
    await context.close();
    return complaints;
  },
  async press({keys: names}) {
    const keys = names.map((name) => name === "Space" ? " " : name); // the driver's name for it
    for (const key of keys.slice(0, -1)) await page.keyboard.down(key);
    await page.keyboard.press(keys.at(-1));
    for (const key of keys.slice(0, -1).reverse()) await page.keyboard.up(key);
    return keys.join() === "Tab" && !await asked(HAS_FOCUS) ? 1 + await throughOwnButtons() : 1;
  },
  async type({words}) {
    await page.keyboard.type(words);
  },
  async paste({words}) {
    return asked(`(words) => document.execCommand("insertText", false, words)`, words);
  },
  async enter() {
    if (!await asked(HAS_FOCUS)) throw new Error("the page has no focus, so Enter would do nothing");
    await asked("() => { window.leaves = false; onbeforeunload = () => { window.leaves = true; }; }");
    await page.keyboard.press("Enter");
    const settled = Date.now() + SETTLE_MS;
    while (Date.now() < settled && await asked("() => window.leaves === false")) await rest(LOOK_MS);
    const late = Date.now() + PAGE_MS; // a page that is being left stays until the desk has answered
    while (Date.now() < late && await asked("() => window.leaves === true")) await rest(LOOK_MS);
    await whole();
  },
  async wait({wanted, most_ms}) {
    const until = Date.now() + most_ms;
    for (let pause = LOOK_MS; !await asked(IS_THERE, wanted); pause = Math.min(2 * pause, LONGEST_MS)) {
      if (Date.now() > until) return false;
      await rest(pause);
    }
    return true;
  },
  isAt: ({wanted}) => asked(IS_AT, wanted),
  isTicked: ({wanted}) => asked(`(wanted) => (${FIND})(wanted).checked`, wanted),
  async text({query}) {
    await whole();
    return asked("(query) => document.querySelector(query).innerText", query);
  },
};

try {
  for await (const line of createInterface({input: process.stdin})) {
    const told = JSON.parse(line);
    let answer;
    try {
      answer = {gave: await DO[told.do](told) ?? null};
    } catch (error) {
      answer = {wrong: String(error?.stack ?? error)};
    }
    process.stdout.write(`${JSON.stringify(answer)}\n`);
  }
} finally {
  await browser.close();
}
