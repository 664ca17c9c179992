// Opens pages in a headless browser, as a reader would, and tells as JSON what was wrong with each.
// node look.mjs FOLDER BROWSER PAGE...   FOLDER: has node_modules with axe-core and playwright-core.
import { createRequire } from "node:module";
import { pathToFileURL } from "node:url";
import { join, resolve } from "node:path";

const [folder, executablePath, ...pages] = process.argv.slice(2);
const require = createRequire(join(resolve(folder), "x.js"));
const { chromium } = require("playwright-core");
const axe = require.resolve("axe-core/axe.min.js");

const browser = await chromium.launch({
  executablePath,
  args: ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync"],
});
const told = [];
for (const path of pages) {
  for (const [media, width] of [["screen", 1280], ["screen", 360], ["print", 700]]) {
    const page = await browser.newPage({ viewport: { width, height: 900 } });
    const address = pathToFileURL(resolve(path)).href;
    const requests = [];
    const said = [];
    page.on("request", (request) => requests.push(request.url()));
    page.on("console", (message) => said.push(message.text()));
    page.on("pageerror", (error) => said.push(String(error)));
    await page.emulateMedia({ media });
    await page.goto(address);
    const wide = await page.evaluate(() => document.documentElement.scrollWidth);
    const outside = requests.filter((one) => one !== address);
    await page.addScriptTag({ path: axe });
    const found = await page.evaluate(async () => {
      const result = await axe.run(document, { resultTypes: ["violations", "passes"] });
      const nodes = (rule) => rule.nodes.slice(0, 5).map((node) => node.html.slice(0, 300));
      return {
        violations: result.violations.map((rule) => ({ id: rule.id, help: rule.help, nodes: nodes(rule) })),
        passes: result.passes.map((rule) => rule.id),
        version: result.testEngine.version,
      };
    });
    const pdf = media === "print" ? (await page.pdf({ preferCSSPageSize: true })).toString("latin1") : "";
    const sheets = (pdf.match(/\/Type\s*\/Page\b/g) ?? []).length;
    told.push({ path, media, width, wide, outside, said, sheets, ...found });
    await page.close();
  }
}
await browser.close();
console.log(JSON.stringify(told));
