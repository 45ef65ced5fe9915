// An edition in two languages on a site: from a place on its page to the same in the other language, and without a network.
//   node check_languages.mjs MODULES BROWSER SITE PLACE VIEW
// MODULES and BROWSER are as in browser.mjs; SITE is the address of the edition's folder, PLACE and VIEW stand behind "#".
import { follow, openTab, runAxe, withBrowser } from "./browser.mjs";

const [, endpoint, site, place, view] = process.argv.slice(2);

/** What the tab shows, once the page has opened it. */
async function read(tab) {
  await tab.waitForLoadState();
  await tab.locator("#view").waitFor({ state: "attached" });
  return tab.evaluate(() => ({
    address: location.href, language: document.documentElement.lang,
    heading: [...document.querySelectorAll("h1")].find((node) => node.checkVisibility()).textContent,
    manifest: document.querySelector("link[rel=manifest]").href,
  }));
}

/** From the page's first link, Tab on to the one that leads to the other language, and press Enter. */
async function pressSwitch(tab) {
  await tab.evaluate(() => document.querySelector(".skip").focus());
  await tab.keyboard.press("Tab");
  await Promise.all([tab.waitForNavigation(), tab.keyboard.press("Enter")]);
}

await withBrowser(endpoint, async (browser) => {
  const told = { errors: [] };
  const context = await browser.newContext();
  const tab = await openTab(context, told);
  await tab.goto(`${site}/index.html#${place}`);
  told.english = await read(tab);
  await pressSwitch(tab);
  told.spanish = await read(tab);
  told.violations = (await runAxe(tab)).violations;
  await follow(tab, `#${view}`);
  await Promise.all([tab.waitForNavigation(), tab.locator(".languages a").click()]);
  told.view = await read(tab);
  await tab.evaluate(async () => {
    const { active } = await navigator.serviceWorker.ready;
    if (active.state !== "activated") await new Promise((done) => active.addEventListener("statechange", done, { once: true }));
  });
  await context.setOffline(true);
  told.offline = [];
  for (const address of [`${site}/`, `${site}/es/`, `${site}/es/index.html`]) {
    await tab.goto(address);
    told.offline.push(await read(tab));
  }
  await context.close();
  return told;
});
