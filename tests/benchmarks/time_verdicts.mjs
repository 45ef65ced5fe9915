// Times the page's verdicts in headless Chromium with its processor slowed sixfold, and prints milliseconds as JSON:
// of processor time, so that a busy machine is not taken for a slow page.
//   node time_verdicts.mjs MODULES PAGE.html CHROMIUM TYPED.json
import { createRequire } from "node:module";
import { readFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { pathToFileURL } from "node:url";

const [modules, page, chromium, typedFile] = process.argv.slice(2);
const require = createRequire(join(resolve(modules), "anchor.js"));
const { chromium: browserType } = require("playwright-core");
const times = [];

async function measureMs(session) {
  const { metrics } = await session.send("Performance.getMetrics");
  return 1000 * metrics.find(({ name }) => name === "TaskDuration").value;
}

const browser = await browserType.launch({ executablePath: chromium, headless: true, args: ["--no-sandbox", "--disable-gpu"] });
try {
  const context = await browser.newContext({ viewport: { width: 360, height: 740 } });
  const tab = await context.newPage();
  const slow = await context.newCDPSession(tab);
  await slow.send("Performance.enable", { timeDomain: "threadTicks" });
  await tab.goto(pathToFileURL(resolve(page)).href);
  for (const typed of JSON.parse(readFileSync(typedFile, "utf8"))) {
    await slow.send("Emulation.setCPUThrottlingRate", { rate: 1 });
    await tab.evaluate((sheet) => localStorage.setItem(`pocketref:tape:${sheet.level}:${sheet.plan}`, JSON.stringify(sheet)), typed);
    await tab.goto(`${pathToFileURL(resolve(page)).href}#tape/${typed.level}/${typed.plan}`);
    await tab.reload();
    const button = tab.getByRole("button", { name: "What to do" });
    await button.waitFor();
    await slow.send("Emulation.setCPUThrottlingRate", { rate: 6 });
    const before = await measureMs(slow);
    await button.evaluate((node) => new Promise((done) => {
      node.click();
      requestAnimationFrame(() => setTimeout(done));
    }));
    times.push((await measureMs(slow)) - before);
  }
  process.stdout.write(JSON.stringify(times));
} finally {
  await browser.close();
}
