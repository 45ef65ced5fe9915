// What the page of an edition says of later ones, opened from a site at a moment, in a zone where it is earlier than UTC.
//   node check_current.mjs MODULES BROWSER MOMENT ADDRESS...
// MODULES and BROWSER are as in browser.mjs.
import { openTab, withBrowser } from "./browser.mjs";

const [, endpoint, moment, ...addresses] = process.argv.slice(2);

await withBrowser(endpoint, async (browser) => {
  const said = [];
  for (const address of addresses) {
    const report = { errors: [] };
    const tab = await openTab(await browser.newContext({ timezoneId: "America/Chicago" }), report);
    await tab.clock.setFixedTime(new Date(moment));
    const answered = tab.waitForResponse((response) => response.url().endsWith("/feed.xml"));
    await tab.goto(address);
    await answered;
    await tab.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done))));
    const told = await tab.evaluate(() => {
      const line = document.querySelector("body > header > .trouble:first-child");
      return line && { words: line.textContent, link: line.querySelector("a").getAttribute("href") };
    });
    said.push({ told, errors: report.errors });
  }
  return said;
});
