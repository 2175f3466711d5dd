// Pieces are ticked off, then an older plan is taken: that is asked first; prints one JSON document.
import { chromium } from "playwright-core";

const [, , address, shots, browserPath] = process.argv;
const browser = await chromium.launch({ executablePath: browserPath, args: ["--no-sandbox", "--disable-gpu"] });
const page = await (await browser.newContext({ viewport: { width: 1280, height: 900 } })).newPage();
const told = { errors: [] };
page.on("pageerror", (e) => told.errors.push(String(e)));
const state = async () => page.evaluate(async () => (await fetch("/state")).json());
const press = (name) => page.getByRole("button", { name, exact: true }).first().click();
async function until(holds) {
  for (let n = 0; n < 600; n++) { if (holds(await state())) return; await page.waitForTimeout(100); }
  throw new Error("it never came");
}

await page.goto(address);
await press("Try the demo");
await page.getByText("Everything needed for a plan is there.").waitFor();
await page.goto(new URL("/#plan", address).href);
await page.reload();
const kerf = await page.evaluate(async () => {
  const { job } = await (await fetch("/state")).json();
  return (await fetch("/set", { method: "POST", body: JSON.stringify({ seen: job.digest, path: ["saw", "kerf"], value: "0 mm", what: "kerf" }) })).status;
});
await page.getByText("Worth a look before you plan").waitFor();
told.warned = [kerf, await page.getByText("kerf", { exact: false }).first().isVisible()];
await press("Undo");
await page.getByText("Worth a look before you plan").waitFor({ state: "detached" });
await press("Quick look");
await until((s) => s.search.stage === "done" && s.plan);
const pieces = (await state()).plan.sheets.flatMap((s) => s.pieces.map((p) => p.piece)).slice(0, 2);
for (const piece of pieces) await page.evaluate((p) => fetch("/cut", { method: "POST", body: JSON.stringify({ piece: p, is_spoilt: false }) }), piece);
const cut = async () => (await state()).plan.cut.length;
const asked = page.getByText("Pieces ticked off as cut, or spoilt, that this plan wouldn’t know of: 2.");
await page.getByRole("button", { name: /^Go on with this one/ }).click();
await asked.waitFor();
told.askedOlder = await cut();
await press("No");
await asked.waitFor({ state: "detached" });
await press("Nothing is cut yet: plan anew");
await asked.waitFor();
told.askedAnew = [await cut(), (await state()).search.stage];
await press("No");
await asked.waitFor({ state: "detached" });
await page.getByRole("button", { name: /^Go on with this one/ }).click();
await press("Yes, drop these ticks");
await until((s) => s.plan.cut.length === 0);
// On the step Papers ticks come and go, and the pages stay at hand. Its list opens with the first tick.
const news = page.locator("#news"), print = page.getByRole("link", { name: "Print this: shop.pdf" }), ticked = page.getByRole("checkbox", { checked: true });
await press("6 Papers");
await page.getByText(/^Ticked off as cut: 0 of/).first().waitFor();
await press("Undo");
await until((s) => s.plan.cut.length === 2);
told.back = await cut();
await ticked.first().waitFor();
await press("Write the papers");
await print.waitFor();
await ticked.first().click();
await news.filter({ hasText: "not cut yet" }).waitFor();
await page.getByText("What was ticked off since isn’t on them").waitFor();
told.unticked = [await cut(), await print.count(), await news.textContent()];
await press("Undo");
await until((s) => s.plan.cut.length === 2);
await news.filter({ hasText: "Undo" }).waitFor();
told.undone = await news.textContent();
await page.getByText("When all of it is cut: the next job").click();
await press("Put what is left into the stock book");
told.asked = await page.getByText("Ticked off as cut: 2 of").last().textContent();
await press("Yes, put it there");
await news.filter({ hasText: "Put into the stock book" }).waitFor();
told.put = await news.textContent();
if (shots) await page.screenshot({ path: `${shots}/ticks.png`, fullPage: true });
console.log(JSON.stringify(told));
await browser.close();
