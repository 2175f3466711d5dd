// What every way over the bench does with the page: opens it, presses its buttons, waits until it is quiet.
import { createRequire } from "node:module";
import { chromium } from "playwright-core";

const require = createRequire(import.meta.url);
const [, , address, shots, executablePath, ...more] = process.argv;

/** The page in a window of that size, the words after the browser's path, and what is told at the end. */
export async function take(width, height = 900) {
  const browser = await chromium.launch({ executablePath, args: ["--no-sandbox", "--disable-gpu"] });
  const context = await browser.newContext({ viewport: { width, height } });
  const page = await context.newPage();
  // A busy machine draws late: NESTCUT_SLOW=6 gives the page a sixth of the processor.
  if (process.env.NESTCUT_SLOW) await (await context.newCDPSession(page)).send("Emulation.setCPUThrottlingRate", { rate: Number(process.env.NESTCUT_SLOW) });
  page.setDefaultTimeout(120000);
  const told = { errors: [] };
  page.on("pageerror", (e) => told.errors.push(String(e)));

  const state = async () => (await page.request.get(new URL("/state", page.url()).href)).json();
  // Nothing is asked of the server any more, and what it said is drawn.
  const quiet = () => page.waitForFunction(() => document.getElementById("work").ariaBusy === "false");
  const news = page.locator("#news");
  const named = (name) => page.getByRole("button", { name, exact: typeof name === "string" }).first();
  const hands = {
    address, shots, more, page, told, state, quiet, news, named,
    press: async (name) => { await named(name).click(); await quiet(); },
    // What is typed there, and what the page says of it.
    type: async (field, words) => { await field.fill(words); await field.blur(); await quiet(); return news.textContent(); },
    // Until the server knows it; the page may hear of it later.
    async until(what, holds) {
      for (let k = 0; k < 600; k++) {
        const now = await state();
        if (holds(now)) return now;
        await page.waitForTimeout(100);
      }
      throw new Error(`in vain: ${what}; the page says: ${await news.textContent()} ${await page.locator("#meanwhile").textContent()}`);
    },
    async check(step, picture) {
      await page.evaluate(require("fs").readFileSync(require.resolve("axe-core"), "utf8"));
      const found = await page.evaluate(() => window.axe.run(document, { iframes: false }));
      (told.axe ??= {})[step] = found.violations.map((v) => `${v.id}: ${v.nodes[0].target} ${v.nodes[0].failureSummary}`);
      (told.overflow ??= {})[step] = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
      await page.screenshot({ path: `${shots}/${picture}.png`, fullPage: true });
    },
    // The console's errors and what goes to other hosts: a page that keeps to itself has neither.
    overhear() {
      told.requests = [];
      page.on("console", (m) => m.type() === "error" && told.errors.push(m.text()));
      page.on("request", (r) => { if (!r.url().startsWith(new URL(address).origin) && !/^(data|blob):/.test(r.url())) told.requests.push(r.url()); });
    },
    async end() { console.log(JSON.stringify(told)); await browser.close(); },
  };
  return hands;
}
