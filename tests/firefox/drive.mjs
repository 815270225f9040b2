// Opens a page in Firefox over WebDriver BiDi and gives back what a script in it returns, as JSON.
//
//     node drive.mjs JOB.json        {firefox, page, prefs, before: [script …], scripts: [[name, script, argument] …]}

import {readFileSync} from "node:fs";
import puppeteer from "puppeteer-core";

const job = JSON.parse(readFileSync(process.argv[2], "utf-8"));
const browser = await puppeteer.launch({
  browser: "firefox", executablePath: job.firefox, headless: true, extraPrefsFirefox: job.prefs,
});
const found = {};
try {
  const page = await browser.newPage();
  const complaints = [];
  page.on("console", message => complaints.push(`${message.type()}: ${message.text()}`));
  page.on("pageerror", error => complaints.push(String(error)));
  await page.setViewport({width: 1280, height: 900});
  await page.goto(job.page);
  for (const [name, script, argument] of job.scripts) {
    found[name] = await page.evaluate(`(${script})(${JSON.stringify(argument ?? null)})`);
  }
  found.version = await browser.version();
  found.complaints = complaints;
} finally {
  await browser.close();
}
process.stdout.write(JSON.stringify(found));
