// Rules on plays in headless Chromium at the size of a phone and reports, as JSON, what the page shows.
//   node check_rule_view.mjs MODULES BROWSER FOLDER ASKED.json [FOLDER-FOR-SCREENSHOTS]
// MODULES and BROWSER are as in browser.mjs. FOLDER is an edition's, with index.html. ASKED.json has `taps`, the words
// to tap one after the other from the first screen, `views`, addresses to look at, and `bad`, addresses that hold mistakes.
import { createServer } from "node:http";
import { copyFileSync, mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { extname, join, resolve } from "node:path";
import { pathToFileURL } from "node:url";
import { follow, openTab, PHONE, runAxe, withBrowser } from "./browser.mjs";

const [, endpoint, folder, askedFile, shots] = process.argv.slice(2);
const asked = JSON.parse(readFileSync(askedFile, "utf8"));
const file = pathToFileURL(join(resolve(folder), "index.html")).href;
const errors = [];
const kinds = { ".html": "text/html; charset=utf-8", ".js": "text/javascript", ".png": "image/png", ".webmanifest": "application/manifest+json" };

const server = createServer((request, response) => {
  const name = new URL(request.url, "http://x").pathname.slice(1) || "index.html";
  try {
    const body = readFileSync(join(folder, name));
    response.writeHead(200, { "Content-Type": kinds[extname(name)] ?? "application/octet-stream" }).end(body);
  } catch {
    response.writeHead(404).end();
  }
});
await new Promise((done) => server.listen(0, "127.0.0.1", done));
const site = `http://127.0.0.1:${server.address().port}/`;

/** Views are there once their data is unpacked, which a page's load doesn't wait for. */
const isReady = (tab) => tab.locator("#view").waitFor({ state: "attached" });

async function open(browser, address) {
  const context = await browser.newContext(PHONE);
  const tab = await openTab(context, { errors });
  await tab.goto(address);
  await isReady(tab);
  return { context, tab };
}

const verdictOf = (tab) => tab.evaluate(() => {
  const verdict = document.querySelector(".verdict");
  const box = verdict?.getBoundingClientRect();
  return { headline: verdict?.textContent ?? "", effect: document.querySelector(".effect")?.innerText ?? "", inView: Boolean(box && box.top >= 0 && box.bottom <= innerHeight) };
});

/** From the first screen, a tap a word; the ruling then. */
async function tapThrough(tab) {
  for (const words of asked.taps) await tab.locator("a:visible, button:visible").filter({ hasText: words }).first().tap();
  await tab.locator(".verdict").waitFor();
  return verdictOf(tab);
}

async function offline(browser) {
  const { context, tab } = await open(browser, site);
  await tab.evaluate(async () => {
    const { active } = await navigator.serviceWorker.ready;
    if (active.state !== "activated") await new Promise((done) => active.addEventListener("statechange", done, { once: true }));
  });
  const linked = await tab.evaluate(() => document.querySelector("link[rel=manifest]").href);
  await context.setOffline(true);
  await tab.reload();
  await isReady(tab);
  const told = await tapThrough(tab);
  await context.close();
  return { ...told, linked };
}

async function fromFile(browser) {
  const { context, tab } = await open(browser, file);
  const first = await tab.evaluate(() => document.querySelector("#main .part").getBoundingClientRect().top / innerHeight);
  const told = await tapThrough(tab);
  const address = await tab.evaluate(() => location.hash);
  await tab.getByRole("link", { name: "The row of the table" }).tap();
  await tab.waitForFunction(() => document.getElementById(location.hash.slice(1))?.checkVisibility());
  const row = await tab.evaluate(() => {
    const node = document.getElementById(location.hash.slice(1));
    const box = node.getBoundingClientRect();
    return { words: node.textContent, inView: box.top >= 0 && box.top < innerHeight };
  });
  await tab.goBack();
  await tab.goBack();
  const back = await tab.locator(".question").textContent();
  await context.close();
  return { ...told, first, address, row, back };
}

/** Where runners, outs and count are tapped, the next state is said at once, and the link holds them. */
async function tapSituation(browser) {
  const { context, tab } = await open(browser, file + asked.stand.address);
  for (const name of asked.stand.keys) await tab.locator(`#key-${name}`).tap();
  const told = await tab.evaluate(() => ({
    next: document.querySelector(".next").innerText, address: location.hash, focus: document.activeElement.id,
  }));
  await context.close();
  return told;
}

/** Every view one after the other, as a reader goes through them. */
async function lookAtAll(browser) {
  const { context, tab } = await open(browser, file);
  const looks = [];
  for (const address of asked.views) {
    await follow(tab, address);
    for (const scheme of ["light", "dark"]) looks.push({ address, scheme, ...(await look(tab, address, scheme)) });
  }
  await context.close();
  return looks;
}

async function look(tab, address, scheme) {
  // The edition itself is looked at by check_page.mjs.
  const { violations } = await runAxe(tab, scheme, ["#main"]);
  const seen = await tab.evaluate(() => ({
    overflow: document.documentElement.scrollWidth - innerWidth,
    small: [...document.querySelectorAll("#view a, #view button, #view input, .tiles a")].filter((node) => node.checkVisibility() && !node.closest("p"))
      .map((node) => [node.textContent, node.getBoundingClientRect().height]).filter(([, height]) => height < 48),
    headings: [...document.querySelectorAll("h1, h2, h3")].filter((node) => node.checkVisibility()).map((node) => node.tagName).slice(0, 2),
    title: document.title,
  }));
  if (shots) await tab.screenshot({ path: join(shots, `${address.replace(/\W+/g, "-").slice(0, 60)}-${scheme}.png`) });
  return { violations, ...seen };
}

/** What is said of mistakes in links, each opened from somewhere else. */
async function misreadAll(browser) {
  const { context, tab } = await open(browser, file);
  const told = [];
  for (const address of asked.bad) {
    await follow(tab, address);
    told.push(await tab.evaluate(() => ({
      trouble: [...document.querySelectorAll(".trouble")].map((node) => node.textContent).join(" "),
      asks: document.querySelectorAll("#view .choice, #view[hidden]").length,
    })));
  }
  await context.close();
  return told;
}

/** The order of the tab key in a question, and where the focus is once a choice is made. */
async function useKeys(browser, address) {
  const { context, tab } = await open(browser, file + address);
  const focused = () => tab.evaluate(() => document.activeElement.textContent.trim());
  const order = [await focused()];
  for (let step = 0; step < 4; step += 1) {
    await tab.keyboard.press("Tab");
    order.push(await focused());
  }
  await tab.locator(".choice").first().focus();
  await tab.keyboard.press("Enter");
  await tab.locator(":focus:is(.question, .verdict)").waitFor();
  const after = await focused();
  await context.close();
  return { order, after };
}

/** What a tap makes a browser lay out, in parts of the edition and in rounds, of which a slow phone has few to spare. */
async function countWork(browser) {
  const { context, tab } = await open(browser, file);
  const session = await context.newCDPSession(tab);
  await session.send("Performance.enable");
  const rounds = async () => (await session.send("Performance.getMetrics")).metrics.find(({ name }) => name === "LayoutCount").value;
  const rest = () => tab.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done))));
  const laidOut = () => tab.evaluate(() => [...document.querySelectorAll("#main .part > h3")].filter((node) => node.checkVisibility({ contentVisibilityAuto: true })).length);
  const parts = await tab.locator("#main .part").count();
  await rest();
  const first = await laidOut();
  await tapThrough(tab);
  await rest();
  const before = await rounds();
  await tab.locator("#key-outs-1").tap();
  await rest();
  const key = (await rounds()) - before;
  const inView = await laidOut();
  await tab.locator(".back-home").tap();
  await tab.locator(".tiles a").first().waitFor();
  await rest();
  const back = (await rounds()) - before - key;
  const told = { parts, first, key, inView, back, again: await laidOut() };
  await context.close();
  return told;
}

async function saveAlone(browser) {
  const alone = mkdtempSync(join(tmpdir(), "page-alone-"));
  copyFileSync(join(folder, "index.html"), join(alone, "index.html"));
  const context = await browser.newContext(PHONE);
  const tab = await context.newPage();
  await tab.goto(pathToFileURL(join(alone, "index.html")).href);
  await tab.locator("p.missing").first().waitFor({ state: "attached" });
  const told = await tab.evaluate(() => [document.querySelector("p.missing").textContent, document.querySelectorAll("ul.files a[href]").length]);
  await context.close();
  rmSync(alone, { recursive: true });
  return told;
}

await withBrowser(endpoint, async (browser) => ({
  file: await fromFile(browser), offline: await offline(browser), stand: await tapSituation(browser),
  keys: await useKeys(browser, asked.question), looks: await lookAtAll(browser), bad: await misreadAll(browser),
  work: await countWork(browser), errors: [...errors], alone: await saveAlone(browser),
}));
server.close();
