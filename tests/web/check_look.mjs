// Looks at the page of `pocketref look` in headless Chromium while its source is edited; reports, as JSON, what it shows.
//   node check_look.mjs MODULES BROWSER ADDRESS LAYOUT OLD NEW [FOLDER-FOR-SCREENSHOTS]
// MODULES and BROWSER are as in browser.mjs. In the file LAYOUT the words OLD become NEW, and then it is cut off.
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { openTab, runAxe, withBrowser } from "./browser.mjs";

const [, endpoint, address, layout, old, words, shots] = process.argv.slice(2);
const report = { requests: [], errors: [], looks: [] };
const PATIENCE = { timeout: 300000 };

async function lookAt(tab, name) {
  for (const scheme of ["light", "dark"]) {
    report.looks.push({ name, scheme, ...(await runAxe(tab, scheme)) });
    if (shots) await tab.screenshot({ path: join(shots, `${name}-${scheme}.png`) });
  }
  await tab.emulateMedia({ colorScheme: "light" });
}

await withBrowser(endpoint, async (browser) => {
  for (const width of [1400, 360]) {
    const context = await browser.newContext({ viewport: { width, height: 800 } });
    const tab = await openTab(context, report);
    await tab.goto(address);
    await tab.locator("#faces svg").first().waitFor(PATIENCE);
    await tab.getByText("No problems found").waitFor(PATIENCE);
    await lookAt(tab, `good-${width}`);
    await context.close();
  }
  const context = await browser.newContext({ viewport: { width: 1400, height: 900 } });
  const tab = await openTab(context, report);
  await tab.goto(address);
  await tab.getByText("No problems found").waitFor(PATIENCE);
  // By the keyboard alone: find a sheet, go to it, and back to the card.
  await tab.getByLabel("Find by name").focus();
  await tab.keyboard.type("plate-area");
  await tab.keyboard.press("Tab");
  report.focused = await tab.evaluate(() => document.activeElement.getAttribute("href"));
  await tab.keyboard.press("Enter");
  await tab.waitForFunction(() => document.querySelector("[aria-current]")?.getAttribute("href") === "#sheets/plate-area", null, PATIENCE);
  await tab.locator("#faces svg").first().waitFor(PATIENCE);
  report.sheet = await tab.locator("#title").textContent();
  await tab.goBack();
  await tab.locator("#faces svg", { hasText: old }).first().waitFor({ state: "attached", ...PATIENCE });
  await tab.evaluate(() => { window.stayed = true; });
  const whole = readFileSync(layout, "utf8");
  writeFileSync(layout, whole.replaceAll(old, words));
  await tab.locator("#faces svg", { hasText: words }).first().waitFor({ state: "attached", ...PATIENCE });
  report.stayed = await tab.evaluate(() => window.stayed === true);
  writeFileSync(layout, `${whole.replaceAll(old, words)}\n  - [`);
  await tab.locator("#problems li.error").first().waitFor(PATIENCE);
  report.problems = await tab.locator("#problems").innerText();
  report.status = await tab.locator("#status").textContent();
  report.last = await tab.locator("#faces svg", { hasText: words }).count();
  await lookAt(tab, "broken");
  await context.close();
  return report;
});
