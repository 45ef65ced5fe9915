// Draws SVG files as Chromium does, each into a PNG beside it.
//   node draw_svgs.mjs MODULES BROWSER SCALE FILE.svg...
// MODULES and BROWSER are as in browser.mjs; SCALE is in pixels for each of a screen's 96 to an inch.
import { writeFileSync } from "node:fs";
import { resolve } from "node:path";
import { pathToFileURL } from "node:url";
import { withBrowser } from "./browser.mjs";

const [, endpoint, scale, ...files] = process.argv.slice(2);

await withBrowser(endpoint, async (browser) => {
  const context = await browser.newContext();
  const tab = await context.newPage();
  // Its own way to screenshots waits in vain on a page that is no HTML.
  const session = await context.newCDPSession(tab);
  const drawn = [];
  for (const file of files) {
    await tab.goto(pathToFileURL(resolve(file)).href);
    const { width, height } = await tab.evaluate(() => document.documentElement.getBoundingClientRect().toJSON());
    const clip = { x: 0, y: 0, width: Math.ceil(width) + 1, height: Math.ceil(height) + 1, scale: Number(scale) };
    const { data } = await session.send("Page.captureScreenshot", { clip, captureBeyondViewport: true });
    drawn.push(`${file}.png`);
    writeFileSync(drawn.at(-1), data, "base64");
  }
  return drawn;
});
