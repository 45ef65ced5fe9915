// Opens a page in headless Chromium and reports, as JSON, what a browser and axe-core make of it.
//   node check_page.mjs MODULES BROWSER PAGE.html WORDS [FOLDER-FOR-SCREENSHOTS]
// MODULES and BROWSER (an address) are as in browser.mjs; WORDS are typed into the search.
import { join, resolve } from "node:path";
import { pathToFileURL } from "node:url";
import { openTab, runAxe, withBrowser } from "./browser.mjs";

const [, endpoint, page, words, shots] = process.argv.slice(2);
const address = pathToFileURL(resolve(page)).href;
const report = { requests: [], failed: [], errors: [], looks: [] };
const widths = { phone: 360, desktop: 1280 };

async function open(context, hasScript = true) {
  const tab = await openTab(context, report);
  await tab.goto(address);
  if (hasScript) await settle(tab);
  return tab;
}

/** Until the search is there and, on a page with views, their tiles, which come when its data is unpacked. */
async function settle(tab) {
  await tab.locator("#search").waitFor();
  await tab.waitForFunction(() => !document.querySelector("script[id^=data-]") || document.querySelector(".tiles a"));
}

async function look(tab, width, scheme) {
  await tab.setViewportSize({ width: widths[width], height: 844 });
  // A part far off has an estimated height until one comes near, and what it holds is nowhere yet.
  await tab.evaluate(() => document.querySelectorAll("#main .part").forEach((part) => { part.style.contentVisibility = "visible"; }));
  const look = {
    width, scheme,
    ...(await runAxe(tab, scheme)),
    overflow: await tab.evaluate(() => document.documentElement.scrollWidth - innerWidth),
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
  return look;
}

async function useKeyboard(browser) {
  const context = await browser.newContext({ viewport: { width: 1280, height: 844 } });
  const tab = await open(context);
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
  keyboard.axe = (await runAxe(tab, "light", ["#main"])).violations;
  await tab.keyboard.press("Tab");
  await tab.keyboard.press("Enter");
  await tab.locator("#main mark").first().waitFor();
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
async function answer(tab) {
  const first = tab.locator("main input[type=radio]").first();
  if (!(await first.count())) return null;
  const ticked = () => tab.evaluate(() => [...document.querySelectorAll("input[type=radio]:checked")].map((node) => `${node.name} ${node.value}`));
  await first.focus();
  const chosen = [];
  for (const key of ["Space", "ArrowDown"]) {
    await tab.keyboard.press(key);
    chosen.push(...(await ticked()));
  }
  const outline = await tab.evaluate(() => parseFloat(getComputedStyle(document.activeElement).outlineWidth));
  return { chosen, checked: (await ticked()).length, outline };
}

async function withoutScript(browser) {
  const context = await browser.newContext({ javaScriptEnabled: false, viewport: { width: 390, height: 844 } });
  const tab = await open(context, false);
  const plain = { search_shown: await tab.locator("#search").isVisible(), cards_shown: await tab.locator("main .part").first().isVisible() };
  await context.close();
  return plain;
}

async function print(tab) {
  await tab.emulateMedia({ media: "print", colorScheme: "dark" });
  const printed = await tab.evaluate(() => ({
    ground: getComputedStyle(document.body).backgroundColor,
    ink: getComputedStyle(document.body).color,
    contents_shown: document.querySelector("nav").checkVisibility(),
  }));
  if (shots) await tab.pdf({ path: join(shots, "print.pdf"), format: "Letter", printBackground: true });
  return printed;
}

await withBrowser(endpoint, async (browser) => {
  const context = await browser.newContext();
  const tab = await open(context);
  for (const width of Object.keys(widths)) {
    for (const scheme of ["light", "dark"]) report.looks.push(await look(tab, width, scheme));
  }
  report.answered = await answer(tab);
  report.printed = await print(tab);
  await context.close();
  report.keyboard = await useKeyboard(browser);
  report.plain = await withoutScript(browser);
  report.requests = [...new Set(report.requests)];
  return report;
});
