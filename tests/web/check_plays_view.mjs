// Answers case plays in headless Chromium at the size of a phone, without a network, and reports, as JSON, what the page
// shows, keeps and gives away.
//   node check_plays_view.mjs MODULES BROWSER PAGE.html ASKED.json FOLDER
// MODULES and BROWSER are as in browser.mjs. ASKED.json has `sheet`, its name, and `right`, the letters of its key; the
// answers are saved in FOLDER, and screenshots.
import { readFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { pathToFileURL } from "node:url";
import { openTab, PHONE, runAxe, withBrowser } from "./browser.mjs";

const [, endpoint, page, askedFile, folder] = process.argv.slice(2);
const asked = JSON.parse(readFileSync(askedFile, "utf8"));
const address = pathToFileURL(resolve(page)).href;
const report = { errors: [], looks: {} };
const letterOf = (choice) => `#choice-${choice}`;
const wrong = (number) => "ABCD".split("").find((letter) => letter !== asked.right[number - 1]);

async function open(browser, hash, before = () => {}) {
  const context = await browser.newContext({ ...PHONE, acceptDownloads: true });
  await context.setOffline(true);
  const tab = await openTab(context, report);
  await tab.addInitScript(before);
  await tab.goto(`${address}${hash}`);
  await tab.locator("#view").waitFor({ state: "attached" });
  return { context, tab };
}

async function look(tab, name) {
  for (const scheme of ["light", "dark"]) {
    const { violations } = await runAxe(tab, scheme, ["#main"]);
    const seen = await tab.evaluate(() => ({
      overflow: document.documentElement.scrollWidth - innerWidth,
      small: [...document.querySelectorAll("#view :is(a, button, input)")].filter((node) => node.getBoundingClientRect().height < 48).map((node) => node.outerHTML.slice(0, 120)),
    }));
    report.looks[`${name}-${scheme}`] = { violations, ...seen };
    await tab.screenshot({ path: join(folder, `${name}-${scheme}.png`), fullPage: true });
  }
}

/** What is told of an answer. */
async function readAnswer(tab) {
  await tab.locator(".told").waitFor();
  return tab.evaluate(() => ({
    focused: document.activeElement.textContent,
    told: [...document.querySelectorAll(".told p")].map((node) => node.innerText.trim()),
    picture: document.querySelector(".play-picture svg")?.getAttribute("aria-label"),
    drawn: document.querySelectorAll(".play-picture path").length,
    held: document.querySelectorAll(".bases .held").length,
    score: document.querySelector(".by").textContent,
    next: document.querySelector(".told .go").textContent,
  }));
}

async function useKeys(tab) {
  const focused = () => tab.evaluate(() => document.activeElement.id || document.activeElement.textContent.trim());
  const order = [await focused()];
  for (let step = 0; step < 4; step += 1) {
    await tab.keyboard.press("Tab");
    order.push(await focused());
  }
  return order;
}

async function train(browser) {
  const { context, tab } = await open(browser, "");
  await tab.locator("a[href='#play']").tap();
  await look(tab, "sheets");
  report.promise = await tab.locator(".view > p:not(.trouble)").first().textContent();
  await tab.locator(`a[href='#play/${asked.sheet}']`).tap();
  await tab.getByRole("link", { name: "Begin" }).tap();
  await tab.locator(".question:focus").waitFor();
  report.order = await useKeys(tab);
  await look(tab, "question");
  await tab.locator(letterOf(wrong(1))).tap();
  report.missed = await readAnswer(tab);
  await look(tab, "answer");
  await tab.locator(".told .go").tap();
  await tab.locator(letterOf(asked.right[1])).tap();
  report.right = await readAnswer(tab);
  // The page is closed, and opened another day.
  await tab.goto(`${address}#play/${asked.sheet}`);
  await tab.reload();
  report.score = await tab.locator(".score").textContent();
  await look(tab, "sheet");
  const again = tab.locator(".go");
  report.again = await again.textContent();
  await again.tap();
  report.asked = await tab.locator(".question").textContent();
  await tab.locator(letterOf(asked.right[0])).tap();
  report.mended = await readAnswer(tab);
  await tab.getByRole("link", { name: "The whole sheet" }).tap();
  await tab.locator(".score").waitFor();
  report.finalScore = await tab.locator(".score").textContent();
  await tab.getByRole("button", { name: "Save the answer sheet" }).tap();
  report.nameless = await tab.locator(".said:not(:empty)").last().textContent();
  await tab.locator("#answerer-name").fill("Robin Vale");
  await tab.locator("#answerer-number").fill("7001");
  const [download] = await Promise.all([tab.waitForEvent("download"), tab.getByRole("button", { name: "Save the answer sheet" }).tap()]);
  report.saved = { name: download.suggestedFilename(), path: join(folder, "answers.csv") };
  await download.saveAs(report.saved.path);
  await context.close();
}

/** A link to an answer, on a device that keeps nothing. */
async function withoutStore(browser) {
  const { context, tab } = await open(browser, "#play", () => {
    Object.defineProperty(globalThis, "localStorage", { get: () => { throw new DOMException("no", "SecurityError"); } });
  });
  const promise = await tab.locator(".view > p:not(.trouble)").first().textContent();
  await tab.goto(`${address}#play/${asked.sheet}/1`);
  await tab.locator(letterOf(asked.right[0])).tap();
  const told = await readAnswer(tab);
  report.private = { promise, notice: await tab.locator(".view > .trouble").last().textContent(), ...told };
  await context.close();
}

async function followLink(browser) {
  const { context, tab } = await open(browser, `#play/${asked.sheet}/1?answer=${wrong(1)}`);
  report.linked = await readAnswer(tab);
  await context.close();
}

await withBrowser(endpoint, async (browser) => {
  await train(browser);
  await withoutStore(browser);
  await followLink(browser);
  return report;
});
