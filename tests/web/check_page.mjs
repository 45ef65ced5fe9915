// Opens a page in headless Chromium and reports, as JSON, what a browser and axe-core make of it.
//   node check_page.mjs MODULES PAGE.html CHROMIUM WORDS [FOLDER-FOR-SCREENSHOTS]
// MODULES is the node_modules folder that holds axe-core and playwright-core; WORDS are typed into the search.
import { createRequire } from "node:module";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { pathToFileURL } from "node:url";

const [modules, page, chromium, words, shots] = process.argv.slice(2);
const require = createRequire(join(resolve(modules), "anchor.js"));
const { chromium: browserType } = require("playwright-core");
const axe = readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");
const address = pathToFileURL(resolve(page)).href;
const flags = [
  "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
  "--disable-background-networking", "--disable-component-update", "--disable-sync",
];

const widths = { phone: 390, desktop: 1280 };
const tags = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"];

async function open(context, report, hasScript = true) {
  const tab = await context.newPage();
  tab.on("request", (request) => report.requests.push(request.url()));
  tab.on("requestfailed", (request) => report.failed.push([request.url(), request.failure()?.errorText]));
  tab.on("pageerror", (error) => report.errors.push(String(error)));
  tab.on("console", (message) => message.type() === "error" && report.errors.push(message.text()));
  await tab.goto(address);
  if (hasScript) await settle(tab);
  return tab;
}

/** Until the search is there and, on a page with views, their tiles, which come when its data is unpacked. */
async function settle(tab) {
  await tab.locator("#search").waitFor();
  await tab.waitForFunction(() => !document.querySelector("script[id^=data-]") || document.querySelector(".tiles a"));
}

async function runAxe(tab) {
  await tab.evaluate(axe);
  // Text has to keep 7:1, the enhanced contrast of WCAG, which axe-core leaves off by default.
  const found = await tab.evaluate(
    (tags) => axe.run(document, {
      runOnly: { type: "tag", values: tags },
      rules: { "color-contrast-enhanced": { enabled: true }, "target-size": { enabled: true } },
    }),
    tags,
  );
  const tell = (rule) => ({ rule: rule.id, nodes: rule.nodes.map((node) => `${node.html.slice(0, 160)} | ${node.failureSummary ?? ""}`) });
  return { violations: found.violations.map(tell), incomplete: found.incomplete.map(tell), passes: found.passes.map((rule) => rule.id) };
}

async function look(browser, width, scheme, report) {
  const context = await browser.newContext({ viewport: { width: widths[width], height: 844 }, colorScheme: scheme });
  const tab = await open(context, report);
  const look = {
    width, scheme,
    overflow: await tab.evaluate(() => document.documentElement.scrollWidth - innerWidth),
    ...(await runAxe(tab)),
    small_targets: await tab.evaluate(() => [...document.querySelectorAll("a, input, button, summary")]
      .filter((node) => !node.closest("p:not(.back), .ladder, mark") && node.className !== "skip")
      .map((node) => [node.outerHTML.slice(0, 120), node.getBoundingClientRect().height])
      .filter(([, height]) => height < 24)),
    picture_filter: await tab.evaluate(() => {
      const picture = document.querySelector(".picture svg");
      return picture && getComputedStyle(picture).filter;
    }),
    small_type: await tab.evaluate(() => Math.min(...[...document.querySelectorAll("main svg text")]
      .map((node) => {
        const { a, b } = node.getScreenCTM();
        return parseFloat(getComputedStyle(node).fontSize) * Math.hypot(a, b);
      }))),
  };
  if (shots) await tab.screenshot({ path: join(shots, `${width}-${scheme}.png`), fullPage: true });
  await context.close();
  return look;
}

async function useKeyboard(browser, report) {
  const context = await browser.newContext({ viewport: { width: 1280, height: 844 } });
  const tab = await open(context, report);
  const focused = () => tab.evaluate(() => document.activeElement.id || document.activeElement.textContent.trim());
  const outline = () => tab.evaluate(() => parseFloat(getComputedStyle(document.activeElement).outlineWidth));
  await tab.keyboard.press("Tab");
  const keyboard = { first: await focused(), first_outline: await outline() };
  await tab.keyboard.press("Enter");
  keyboard.skipped_to = await focused();
  // Without the place that the skip link led to: a browser may begin there, and did on a busy machine.
  await tab.goto(tab.url().split("#")[0]);
  await settle(tab);
  await tab.keyboard.press("Tab");
  keyboard.order = [];
  while (keyboard.order.at(-1) !== "find" && keyboard.order.length < 8) {
    await tab.keyboard.press("Tab");
    keyboard.order.push(await focused());
  }
  keyboard.find_outline = await outline();
  const hits = () => tab.evaluate(() => [...document.querySelectorAll("#hits a")].map((node) => node.getAttribute("href")));
  const said = () => tab.evaluate(() => document.getElementById("found").textContent);
  await tab.keyboard.type(words);
  keyboard.found = await hits();
  keyboard.said = await said();
  keyboard.axe = (await runAxe(tab)).violations;
  await tab.keyboard.press("Tab");
  await tab.keyboard.press("Enter");
  await tab.waitForTimeout(100);
  keyboard.opened = await tab.evaluate(() => location.hash);
  keyboard.marked = await tab.evaluate(() => [...document.querySelectorAll("#main mark")].map((node) => {
    const box = node.getBoundingClientRect();
    return [node.textContent.toLowerCase(), box.top >= 0 && box.bottom <= innerHeight];
  }));
  await tab.locator("#find").fill("qqqzzz");
  keyboard.nothing = await hits();
  keyboard.nothing_said = await said();
  keyboard.intruded = await tab.evaluate(() => typeof globalThis.intruded !== "undefined");
  await context.close();
  return keyboard;
}

// The first choice is ticked by the space bar, the next one by an arrow; null where there is nothing to choose.
async function answer(browser, report) {
  const context = await browser.newContext({ viewport: { width: 390, height: 844 } });
  const tab = await open(context, report);
  const first = tab.locator("main input[type=radio]").first();
  if (!(await first.count())) { await context.close(); return null; }
  const ticked = () => tab.evaluate(() => [...document.querySelectorAll("input[type=radio]:checked")].map((node) => `${node.name} ${node.value}`));
  await first.focus();
  const chosen = [];
  for (const key of ["Space", "ArrowDown"]) {
    await tab.keyboard.press(key);
    chosen.push(...(await ticked()));
  }
  const outline = await tab.evaluate(() => parseFloat(getComputedStyle(document.activeElement).outlineWidth));
  const answered = { chosen, checked: (await ticked()).length, outline };
  await context.close();
  return answered;
}

async function withoutScript(browser, report) {
  const context = await browser.newContext({ javaScriptEnabled: false, viewport: { width: 390, height: 844 } });
  const tab = await open(context, report, false);
  const plain = { search_shown: await tab.locator("#search").isVisible(), cards_shown: await tab.locator("main .part").first().isVisible() };
  await context.close();
  return plain;
}

async function print(browser, report) {
  const context = await browser.newContext({ colorScheme: "dark" });
  const tab = await open(context, report);
  await tab.emulateMedia({ media: "print" });
  const printed = await tab.evaluate(() => ({
    ground: getComputedStyle(document.body).backgroundColor,
    ink: getComputedStyle(document.body).color,
    contents_shown: document.querySelector("nav").checkVisibility(),
  }));
  if (shots) await tab.pdf({ path: join(shots, "print.pdf"), format: "Letter", printBackground: true });
  await context.close();
  return printed;
}

const profile = mkdtempSync(join(tmpdir(), "page-check-"));
const browser = await browserType.launch({ executablePath: chromium, headless: true, args: flags, env: { ...process.env, HOME: profile } });
try {
  const report = { requests: [], failed: [], errors: [], looks: [] };
  for (const width of Object.keys(widths)) {
    for (const scheme of ["light", "dark"]) report.looks.push(await look(browser, width, scheme, report));
  }
  report.keyboard = await useKeyboard(browser, report);
  report.answered = await answer(browser, report);
  report.plain = await withoutScript(browser, report);
  report.printed = await print(browser, report);
  report.requests = [...new Set(report.requests)];
  process.stdout.write(JSON.stringify(report, null, 1));
} finally {
  await browser.close();
  rmSync(profile, { recursive: true, force: true });
}
