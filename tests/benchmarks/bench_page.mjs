// How long the page takes to answer a tap on a processor 6 times slower, in ms from the event to the frame that shows it.
//   node tests/benchmarks/bench_page.mjs MODULES out/2027/index.html CHROMIUM
// MODULES is a node_modules folder with playwright-core, as tests/web/package.json names it.
import { createRequire } from "node:module";
import { join, resolve } from "node:path";
import { pathToFileURL } from "node:url";

const [modules, page, chromium] = process.argv.slice(2);
const require = createRequire(join(resolve(modules), "anchor.js"));
const { chromium: browserType } = require("playwright-core");
const SLOWER = 6;
const ROUNDS = 5;

const browser = await browserType.launch({ executablePath: chromium, args: ["--no-sandbox", "--disable-gpu"] });
const context = await browser.newContext({ viewport: { width: 360, height: 740 }, hasTouch: true, isMobile: true });
const tab = await context.newPage();
await (await context.newCDPSession(tab)).send("Emulation.setCPUThrottlingRate", { rate: SLOWER });
await tab.goto(pathToFileURL(resolve(page)).href);
await tab.locator("#view").waitFor({ state: "attached" });

/** Do something to an element, and wait for the frame after what it caused. */
const time = (selector, act) => tab.evaluate(async ([where, what]) => {
  const node = document.querySelector(where);
  const start = performance.now();
  if (what === "tap") node.click();
  else {
    node.value = what;
    node.dispatchEvent(new Event("input"));
  }
  await new Promise((done) => setTimeout(done));  // A change of the address is told as a task of its own.
  await new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)));
  return performance.now() - start;
}, [selector, act]);

const took = {};
const note = async (name, selector, act = "tap") => (took[name] ??= []).push(await time(selector, act));
for (let round = 0; round < ROUNDS; round += 1) {
  await tab.evaluate(() => { location.hash = ""; });
  await tab.waitForTimeout(300);
  await tab.evaluate(() => document.getElementById("find").focus());
  await note("search", "#find", "out of the box");
  await tab.evaluate(() => { document.getElementById("find").value = ""; document.getElementById("find").dispatchEvent(new Event("input")); });
  await note("open the view", ".tiles a");
  await note("find a subject", "#subject", "foot on the plate");
  await note("choose the subject", "#subjects a");
  await note("answer a question", ".choice");
  await note("answer to the ruling", ".choice");
  for (const key of ["runners-first", "outs-1", "balls-1", "strikes-2"]) await note("tap the situation", `#key-${key}`);
  await note("back to the contents", ".back-home");
}
for (const [name, times] of Object.entries(took)) {
  times.sort((one, other) => one - other);
  console.log(`${name}: ${times[times.length >> 1].toFixed(0)} ms, at most ${times.at(-1).toFixed(0)}`);
}
await browser.close();
