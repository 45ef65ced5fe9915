// How long the page takes to answer a tap on a processor 6 times slower, in ms, from the event to the second frame after it:
// of processor time, so that a busy machine is not taken for a slow page. "Nothing" is what measuring takes.
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
const session = await context.newCDPSession(tab);
await session.send("Performance.enable", { timeDomain: "threadTicks" });
await tab.goto(pathToFileURL(resolve(page)).href);
await tab.locator("#view").waitFor({ state: "attached" });

async function measureMs() {
  const { metrics } = await session.send("Performance.getMetrics");
  return SLOWER * 1000 * metrics.find(({ name }) => name === "TaskDuration").value;
}

const took = {};

/** Tap an element or type into it, and wait for the frames after what it caused. */
async function time(name, selector, typed = null) {
  await tab.locator(selector).first().waitFor();
  const before = await measureMs();
  await tab.evaluate(async ([where, text]) => {
    const node = document.querySelector(where);
    if (where === "body") node.focus();
    else if (text === null) node.click();
    else {
      node.focus();
      node.value = text;
      node.dispatchEvent(new Event("input"));
    }
    await new Promise((done) => setTimeout(done)); // A change of the address is told as a task of its own.
    await new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)));
  }, [selector, typed]);
  (took[name] ??= []).push((await measureMs()) - before);
}

for (let round = 0; round < ROUNDS; round += 1) {
  await time("nothing", "body");
  await time("search", "#find", "out of the box");
  await time("clear the search", "#find", "");
  await time("open the view", "a[href='#rule']");
  await time("find a subject", "#subject", "foot on the plate");
  await time("choose the subject", "#subjects a");
  await time("answer a question", ".choice");
  await time("answer to the ruling", ".choice");
  for (const key of ["runners-first", "outs-1", "balls-1", "strikes-2"]) await time("tap the situation", `#key-${key}`);
  await time("back to the contents", ".back-home");
  await time("open the plays", "a[href='#play']");
  await time("choose a sheet", "a[href='#play/feet']");
  await time("begin", ".go");
  await time("answer a play", "button.choice");
  await time("next play", ".go");
  await time("back to the contents", ".back-home");
  await time("open the tape", "a[href='#tape']");
  await time("back to the contents", ".back-home");
}
for (const [name, times] of Object.entries(took)) {
  times.sort((one, other) => one - other);
  console.log(`${name}: ${times[times.length >> 1].toFixed(0)} ms, at most ${times.at(-1).toFixed(0)}`);
}
await browser.close();
