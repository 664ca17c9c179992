// A tablet with a real browser at `sinkside serve`: lets itself in by the address, types a code, leaves.
// node tablet.mjs FOLDER BROWSER ADDRESS TOKEN   Tells as JSON what it saw. FOLDER: as of tests/report/look.mjs.
import { createRequire } from "node:module";
import { join, resolve } from "node:path";

const [folder, executablePath, address, token] = process.argv.slice(2);
const require = createRequire(join(resolve(folder), "x.js"));
const { chromium } = require("playwright-core");
const axe = require.resolve("axe-core/axe.min.js");

const browser = await chromium.launch({
  executablePath,
  args: ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync"],
});
const context = await browser.newContext({ viewport: { width: 1180, height: 820 }, hasTouch: true, bypassCSP: false });
const page = await context.newPage();
const outside = [];
const errors = [];
page.on("request", (asked) => { if (!asked.url().startsWith(address) && !asked.url().startsWith("data:")) outside.push(asked.url()); });
page.on("websocket", (socket) => { if (!socket.url().startsWith(address.replace("http", "ws"))) outside.push(socket.url()); });
page.on("pageerror", (error) => errors.push(error.message));
// A key or a tap after the end of a screen finds the socket closed: the terminal's library says so, and no more.
const late = (text) => text.includes("already in CLOSING or CLOSED state");
page.on("console", (said) => { if (said.type() === "error" && !late(said.text())) errors.push(said.text()); });

const screen = () => document.querySelector(".xterm-helper-textarea") !== null
  && document.body.classList.contains("-first-byte");
await page.goto(`${address}/`);
await page.goto("about:blank");
await page.goto(`${address}/#${token}`);
await page.waitForFunction(screen, null, { timeout: 60_000 });
const told = {
  address: page.url(),
  cookie: await page.evaluate(() => document.cookie),
  letters: await page.evaluate(() => document.fonts.check("16px 'Roboto Mono'")),
  focus: await page.evaluate(() => document.activeElement.className),
  keyboard: await page.evaluate(() => document.getElementById("keyboard").hidden),
};
await page.keyboard.press("F10");
await page.waitForFunction(() => document.body.classList.contains("-closed"), null, { timeout: 60_000 });
told.ended = await page.locator(".ended").innerText();
await page.locator(".ended a").click();
await page.waitForFunction(screen, null, { timeout: 60_000 });
await context.clearCookies();
await page.goto(`${address}/`);
const checked = await browser.newContext({ bypassCSP: true });
const asking = await checked.newPage();
await asking.goto(`${address}/`);
await asking.addScriptTag({ path: axe });
const found = await asking.evaluate(() => window.axe.run());
told.violations = found.violations.map((one) => one.id);
told.passes = found.passes.length;
console.log(JSON.stringify({ ...told, outside: outside.filter((url) => url !== "about:blank"), errors }));
await browser.close();
