// What the checks in a browser share: axe-core, pages that tell their errors, and one browser for all of them.
//   node browser.mjs MODULES CHROMIUM
// opens the browser, prints the address that the other scripts connect to, and closes it when its input ends.
// MODULES is the node_modules folder that holds axe-core and playwright-core.
import { createRequire } from "node:module";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { fileURLToPath } from "node:url";

const [modules, chromium] = process.argv.slice(2);
const require = createRequire(join(resolve(modules), "anchor.js"));
const { chromium: browserType } = require("playwright-core");
const axe = readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");

const FLAGS = [
  "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
  "--disable-background-networking", "--disable-component-update", "--disable-sync",
];
// Text has to keep 7:1, the enhanced contrast of WCAG, which axe-core leaves off by default; what does, keeps 4.5:1.
const COLOURS = "color-contrast-enhanced";
const ALL = {
  runOnly: { type: "tag", values: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"] },
  rules: { [COLOURS]: { enabled: true }, "color-contrast": { enabled: false }, "target-size": { enabled: true } },
};
export const PHONE = { viewport: { width: 360, height: 740 }, hasTouch: true, isMobile: true };

/** Do something with the browser at an address, in contexts of its own; what it gives is printed as JSON. */
export async function withBrowser(endpoint, use) {
  const browser = await browserType.connect(endpoint);
  try {
    process.stdout.write(JSON.stringify(await use(browser), null, 1));
  } finally {
    await browser.close();
  }
}

/** A tab of a context that notes what it asks for and what fails. */
export async function openTab(context, report) {
  const tab = await context.newPage();
  tab.on("request", (request) => report.requests?.push(request.url()));
  tab.on("requestfailed", (request) => report.failed?.push([request.url(), request.failure()?.errorText]));
  tab.on("pageerror", (error) => report.errors.push(String(error)));
  tab.on("console", (message) => message.type() === "error" && report.errors.push(message.text()));
  return tab;
}

/** Go on within the page: to what stands behind "#", once the page has heard of it. */
export function follow(tab, hash) {
  return tab.evaluate((hash) => new Promise((done) => {
    if (location.hash === hash) return done();
    addEventListener("hashchange", () => done(), { once: true });
    location.hash = hash;
  }), hash);
}

/** What axe-core finds on a tab in a scheme, but for some of it; a dark page differs from a light one in colours alone. */
export async function runAxe(tab, scheme = "light", without = []) {
  await tab.emulateMedia({ colorScheme: scheme });
  if (await tab.evaluate(() => typeof axe === "undefined")) await tab.evaluate(axe);
  const options = scheme === "dark" ? { runOnly: [COLOURS] } : ALL;
  return tab.evaluate(async ([options, without]) => {
    // axe-core passes over what is hidden, but looks at each node of it.
    const exclude = [...document.querySelectorAll(["body > [hidden]", ...without])];
    const found = await axe.run({ include: document, exclude }, { ...options, resultTypes: ["violations"] });
    const tell = (rule) => [rule.id, rule.nodes.map((node) => `${node.html.slice(0, 160)} | ${node.failureSummary ?? ""}`)];
    return { violations: found.violations.map(tell), passes: found.passes.map((rule) => rule.id) };
  }, [options, without]);
}

async function serve() {
  const profile = mkdtempSync(join(tmpdir(), "page-check-"));
  const server = await browserType.launchServer({ executablePath: chromium, headless: true, args: FLAGS, env: { ...process.env, HOME: profile } });
  console.log(server.wsEndpoint());
  process.stdin.resume();
  await new Promise((done) => process.stdin.on("end", done));
  await server.close();
  rmSync(profile, { recursive: true, force: true });
}

if (resolve(process.argv[1]) === fileURLToPath(import.meta.url)) await serve();
