// Types readings into the page in headless Chromium and reports, as JSON, what it shows, keeps and gives away.
//   node check_tape_view.mjs MODULES PAGE.html CHROMIUM ASKED.json FOLDER
// ASKED.json has `address` (a view of the page), `readings` by pull, and `odd`, texts to try in the first blank. The
// file of readings is saved in FOLDER, and screenshots.
import { createRequire } from "node:module";
import { readFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { pathToFileURL } from "node:url";

const [modules, page, chromium, askedFile, folder] = process.argv.slice(2);
const require = createRequire(join(resolve(modules), "anchor.js"));
const { chromium: browserType } = require("playwright-core");
const axe = readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");
const asked = JSON.parse(readFileSync(askedFile, "utf8"));
const address = pathToFileURL(resolve(page)).href + asked.address;
const report = { requests: [], errors: [], looks: {} };
const phone = { viewport: { width: 360, height: 740 }, acceptDownloads: true };
const blank = (tab, pull) => tab.locator(`[id="readings-${pull}"]`);

async function open(context, before = () => {}) {
  const tab = await context.newPage();
  tab.on("request", (request) => report.requests.push(request.url()));
  tab.on("pageerror", (error) => report.errors.push(String(error)));
  tab.on("console", (message) => message.type() === "error" && report.errors.push(message.text()));
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

async function look(tab, name) {
  await tab.evaluate(axe);
  const tags = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"];
  const found = await tab.evaluate((values) => axe.run(document, {
    runOnly: { type: "tag", values },
    rules: { "color-contrast-enhanced": { enabled: true }, "target-size": { enabled: true } },
  }), tags);
  report.looks[name] = {
    violations: found.violations.map((rule) => [rule.id, rule.nodes.map((node) => node.html.slice(0, 160))]),
    overflow: await tab.evaluate(() => document.documentElement.scrollWidth - innerWidth),
    small: await tab.evaluate(() => [...document.querySelectorAll("#view :is(button, input, select, summary)")]
      .filter((node) => node.checkVisibility() && node.getBoundingClientRect().height < 48).map((node) => node.outerHTML.slice(0, 120))),
  };
  await tab.screenshot({ path: join(folder, `${name}.png`), fullPage: true });
}

async function tapeField(browser, scheme) {
  const context = await browser.newContext({ ...phone, colorScheme: scheme });
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
  await look(tab, `tape-${scheme}`);
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

const browser = await browserType.launch({ executablePath: chromium, headless: true, args: ["--no-sandbox", "--disable-gpu"] });
try {
  for (const scheme of ["dark", "light"]) await tapeField(browser, scheme);
  report.full = await withoutStore(browser, () => {
    Storage.prototype.setItem = () => { throw new DOMException("full", "QuotaExceededError"); };
    Object.defineProperty(Storage.prototype, "length", { get: () => 1 });
  });
  report.private = await withoutStore(browser, () => {
    Object.defineProperty(globalThis, "localStorage", { get: () => { throw new DOMException("no", "SecurityError"); } });
  });
  report.requests = [...new Set(report.requests)].filter((url) => !url.startsWith("blob:"));
  process.stdout.write(JSON.stringify(report, null, 1));
} finally {
  await browser.close();
}
