// A boat from numbers alone: what is asked is asked in words, and bare numbers count. Prints one JSON document.
import { chromium } from "playwright-core";

const [, , address, shots, browserPath] = process.argv;
const browser = await chromium.launch({ executablePath: browserPath, args: ["--no-sandbox", "--disable-gpu"] });
const page = await (await browser.newContext({ viewport: { width: 390, height: 800 } })).newPage();
const told = { errors: [] };
page.setDefaultTimeout(30000);
page.on("pageerror", (e) => told.errors.push(String(e)));
const state = async () => (await page.request.get(new URL("/state", page.url()).href)).json();
const press = (name) => page.getByRole("button", { name, exact: true }).first().click();
async function until(holds) {
  for (let n = 0; n < 200; n++) { const s = await state(); if (holds(s)) return s; await page.waitForTimeout(100); }
  throw new Error(`it never came: ${await page.locator("#news").textContent()}`);
}
async function put(field, words) { await field.fill(words); await field.blur(); }

await page.goto(address);
await put(page.locator('[data-key="name of the boat"]'), "num");
await press("Begin with numbers, without a drawing");
await until((s) => s.job);
await press("2 Parts");
await put(page.locator('[data-key="form length"]'), "700");
await put(page.locator('[data-key="form width"]'), "300");
await put(page.locator('[data-key="form name"]'), "a very long name for a part that somebody has drawn by hand and called so");
await press("Add this part");
await until((s) => s.view.written.part?.length === 2);
const length = page.locator('[data-key="part 1 length"]');
await length.waitFor();
await put(length, "800");
told.shape = (await until((s) => s.view.written.part[1].shape.length !== "700 mm")).view.written.part[1].shape;
await put(page.locator('[data-key="part 1 count"]'), "2");
await until((s) => s.view.written.part[1].count === 2);
await page.locator('[data-key="part 1 hand"]').selectOption("pair");
await page.getByText("2 pairs are 4 pieces.").waitFor();
await page.getByRole("button", { name: /^No: how many pairs: 1/ }).click();
told.pairs = (await until((s) => s.view.written.part[1].count === 1)).view.written.part[1].hand;

await press("3 Stock");
told.kerf = await page.getByText("How wide is the cut of your saw?").count();
await press("Add a sheet");
await page.getByRole("heading", { name: "new sheet" }).waitFor();
told.asked = await page.getByText("Still to be filled in:").last().textContent();
told.wide = {};
for (const step of ["2 Parts", "3 Stock", "4 Joints", "5 Plan"]) {
  await press(step);
  told.wide[step] = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
  await page.screenshot({ path: `${shots}/fresh-${step[0]}.png`, fullPage: true });
}
console.log(JSON.stringify(told));
await browser.close();
