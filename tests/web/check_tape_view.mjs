// Types readings into the page in headless Chromium and reports, as JSON, what it shows, keeps and gives away.
//   node check_tape_view.mjs MODULES BROWSER PAGE.html ASKED.json FOLDER
// MODULES and BROWSER are as in browser.mjs. ASKED.json has `address` (a view of the page), `readings` by pull, and `odd`,
// texts to try in the first blank. The file of readings is saved in FOLDER, and screenshots.
import { readFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { pathToFileURL } from "node:url";
import { openTab, runAxe, withBrowser } from "./browser.mjs";

const [, endpoint, page, askedFile, folder] = process.argv.slice(2);
const asked = JSON.parse(readFileSync(askedFile, "utf8"));
const address = pathToFileURL(resolve(page)).href + asked.address;
const report = { requests: [], errors: [], looks: {} };
const phone = { viewport: { width: 360, height: 740 }, acceptDownloads: true };
const blank = (tab, pull) => tab.locator(`[id="readings-${pull}"]`);

async function open(context, before = () => {}) {
  const tab = await openTab(context, report);
  await tab.addInitScript(before);
  await tab.goto(address);
  return tab;
}

const readWork = (tab) => tab.locator(".work li").allTextContents();
const readTold = (tab, pull) => tab.locator(`[id="readings-${pull}-told"]`).textContent();
const readNotice = (tab) => tab.locator(".view > .trouble").textContent();

/** Every reading by the keyboard alone: Enter leads on to the next blank. */
async function typeAll(tab) {
  const pulls = Object.keys(asked.readings);
  await blank(tab, pulls[0]).focus();
  const visited = [];
  for (const pull of pulls) {
    visited.push(await tab.evaluate(() => document.activeElement.id.replace("readings-", "")));
    await tab.keyboard.insertText(asked.readings[pull]);
    await tab.keyboard.press("Enter");
  }
  return visited;
}

async function look(tab, scheme) {
  report.looks[scheme] = {
    violations: (await runAxe(tab, scheme)).violations,
    overflow: await tab.evaluate(() => document.documentElement.scrollWidth - innerWidth),
    small: await tab.evaluate(() => [...document.querySelectorAll("#view :is(button, input, select, summary)")]
      .filter((node) => node.checkVisibility() && node.getBoundingClientRect().height < 48).map((node) => node.outerHTML.slice(0, 120))),
  };
  await tab.screenshot({ path: join(folder, `tape-${scheme}.png`), fullPage: true });
}

async function tapeField(browser) {
  const context = await browser.newContext(phone);
  await context.setOffline(true);
  const tab = await open(context);
  const first = Object.keys(asked.readings)[0];
  report.odd = {};
  for (const text of asked.odd) {
    await blank(tab, first).fill(text);
    await blank(tab, first).blur();
    report.odd[text] = await readTold(tab, first);
  }
  await blank(tab, first).fill("");
  report.visited = await typeAll(tab);
  await tab.getByRole("button", { name: "What to do" }).click();
  report.focused = await tab.evaluate(() => document.activeElement.textContent);
  report.headline = await tab.locator("h2.verdict").textContent();
  report.work = await readWork(tab);
  report.figure = await tab.locator(".tape-figure").getAttribute("aria-label");
  for (const scheme of ["light", "dark"]) await look(tab, scheme);
  const [download] = await Promise.all([tab.waitForEvent("download"), tab.getByRole("button", { name: "Save readings" }).click()]);
  report.saved = { name: download.suggestedFilename(), path: join(folder, "readings.csv") };
  await download.saveAs(report.saved.path);
  await tab.reload();
  report.reloaded = { readings: {}, work: await readWork(tab), notice: await readNotice(tab) };
  for (const pull of Object.keys(asked.readings)) report.reloaded.readings[pull] = await blank(tab, pull).inputValue();
  await tab.emulateMedia({ media: "print" });
  report.printed = await tab.evaluate(() => [...document.querySelectorAll("#view input, #view .work, #view figure, #view button")]
    .filter((node) => node.checkVisibility()).map((node) => node.localName));
  await tab.emulateMedia({ media: "screen" });
  const clear = tab.getByRole("button", { name: /clear/i });
  await clear.click();
  report.afterOneTap = await blank(tab, first).inputValue();
  await clear.click();
  report.cleared = await blank(tab, first).inputValue();
  await context.close();
}

/** What a reader is told where the device keeps nothing, and whether typing still works. */
async function withoutStore(browser, before) {
  const context = await browser.newContext(phone);
  const tab = await open(context, before);
  const [first, text] = Object.entries(asked.readings)[0];
  await blank(tab, first).fill(text);
  await blank(tab, first).blur();
  const told = { notice: await readNotice(tab), told: await readTold(tab, first), kept: await blank(tab, first).inputValue() };
  await context.close();
  return told;
}

await withBrowser(endpoint, async (browser) => {
  await tapeField(browser);
  report.full = await withoutStore(browser, () => {
    Storage.prototype.setItem = () => { throw new DOMException("full", "QuotaExceededError"); };
    Object.defineProperty(Storage.prototype, "length", { get: () => 1 });
  });
  report.private = await withoutStore(browser, () => {
    Object.defineProperty(globalThis, "localStorage", { get: () => { throw new DOMException("no", "SecurityError"); } });
  });
  report.requests = [...new Set(report.requests)].filter((url) => !url.startsWith("blob:"));
  return report;
});
