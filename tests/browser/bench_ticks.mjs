// Pieces are ticked off, then an older plan is taken: that is asked first; prints one JSON document.
import { chromium } from "playwright-core";

const [, , address, , browserPath] = process.argv;
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
await press("Undo");
await until((s) => s.plan.cut.length === 2);
told.back = await cut();
console.log(JSON.stringify(told));
await browser.close();
