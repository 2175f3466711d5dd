// The whole way on the bench, with pointer or with keys alone; prints one JSON document.
import { createRequire } from "node:module";
import { chromium } from "playwright-core";

const require = createRequire(import.meta.url);
const [, , address, shots, browserPath, how, width] = process.argv;
const browser = await chromium.launch({ executablePath: browserPath, args: ["--no-sandbox", "--disable-gpu"] });
const context = await browser.newContext({ viewport: { width: Number(width), height: 900 } });
const page = await context.newPage();
const told = { errors: [], requests: [], axe: {}, steps: [] };
page.on("console", (m) => m.type() === "error" && told.errors.push(m.text()));
page.on("pageerror", (e) => told.errors.push(String(e)));
page.on("request", (r) => { if (!r.url().startsWith(new URL(address).origin) && !/^(data|blob):/.test(r.url())) told.requests.push(r.url()); });

async function check(step) {
  await page.evaluate(require("fs").readFileSync(require.resolve("axe-core"), "utf8"));
  const found = await page.evaluate(() => window.axe.run(document, { iframes: false }));
  told.axe[step] = found.violations.map((v) => `${v.id}: ${v.nodes[0].target} ${v.nodes[0].failureSummary}`);
  told.steps.push({ step, overflow: await page.evaluate(() => document.documentElement.scrollWidth - innerWidth) });
  await page.screenshot({ path: `${shots}/${how}-${width}-${step}.png`, fullPage: true });
}
async function press(name) {
  const target = page.getByRole("button", { name, exact: true }).first();
  await target.waitFor();
  if (how === "pointer") { await target.click(); return; }
  for (let k = 0; k < 300; k++) {
    if (await target.evaluate((n) => n === document.activeElement)) { await page.keyboard.press("Enter"); return; }
    await page.keyboard.press("Tab");
  }
  throw new Error(`'${name}' can't be reached with the Tab key`);
}

await page.goto(address);
await check("empty");
await press("Try the demo");
await page.getByText("Everything needed for a plan is there.").waitFor();
await check("begin");

// An outline of the drawing: chosen, thrown out, taken again, and all of it undone.
const outline = page.locator("g.drawn").first();
await outline.waitFor();
const jobText = async () => page.evaluate(async () => (await (await fetch("/state")).json()).job.text);
const begun = await jobText();
if (how === "pointer") await outline.click();
else { await outline.focus(); await page.keyboard.press("Enter"); }
await page.getByRole("button", { name: /^Not a part/ }).waitFor();
await check("outline");
const out = page.getByRole("button", { name: /^Not a part/ });
if (how === "pointer") await out.click();
else { await out.focus(); await page.keyboard.press("Enter"); }
await page.locator("g.drawn:not(.part)").first().waitFor();
told.thrown = (await jobText()).length < begun.length;
await press("It is a part");
await page.locator("g.drawn:not(.part)").first().waitFor({ state: "detached" });
told.taken = /outline = "\d+ of \d+"/.test(await jobText());
for (let k = 0; k < 2; k++) {
  const now = await jobText();
  await press("Undo");
  for (let n = 0; n < 100 && (await jobText()) === now; n++) await page.waitForTimeout(100);
}
await page.getByText("Everything needed for a plan is there.").waitFor();
told.begunAgain = (await jobText()) === begun;
await press("Next: look at the parts");
await page.getByRole("heading", { name: "knee", exact: true }).waitFor();
await page.getByLabel("length *").fill("310 mm");
await page.getByLabel("width *").fill("220 mm");
await page.getByLabel("width *").blur();
await press("Add this part");
await page.getByRole("heading", { name: "rectangle", exact: true }).waitFor();
told.numbers = (await jobText()).includes('length = "310 mm"');
await check("parts");
await press("Undo");
await page.getByRole("heading", { name: "rectangle", exact: true }).waitFor({ state: "detached" });
await press("Next: what the yard sells");
const shaping = page.getByRole("button", { name: /^Draw its outline/ }).first();
if (how === "pointer") await shaping.click();
else { await shaping.focus(); await page.keyboard.press("Enter"); }
await press("Add a knot");
await page.getByLabel("What it is").fill("stain");
await page.getByLabel("What it is").blur();
await check("stock");
await press("Keep this outline");
await page.getByText("Keep this outline").waitFor({ state: "detached" });
told.knot = (await jobText()).includes("stain");
await press("Undo");
await page.waitForTimeout(400);
told.unknotted = !(await jobText()).includes("stain");
await press("Next: joints");
await check("joints");
await page.getByRole("button", { name: "As text", exact: true }).click();
const text = page.getByRole("textbox", { name: "The job file as text" });
await text.fill((await text.inputValue()).replace('name = "middle thwart"', 'name = "middle thwart"\njoint = { kind = "scarf", slope = "8:1", at = ["600 mm"] }  # mine'));
await press("4 Joints");
await press("As text");
told.typed = (await text.inputValue()).includes("# mine");
told.stale = [await page.getByText("The job changed since you began to type here").count()];
await page.evaluate(async () => {
  const { job } = await (await fetch("/state")).json();
  await fetch("/set", { method: "POST", body: JSON.stringify({ seen: job.digest, what: "x", path: ["saw", "kerf"], value: "2.5 mm" }) });
});
await page.getByText("The job changed since you began to type here").waitFor();
told.stale.push(await text.inputValue().then((v) => v.includes("# mine")));
await press("Undo");
await page.getByText("The job changed since you began to type here").waitFor({ state: "detached" });
await page.getByRole("button", { name: "Save", exact: true }).click();
await page.getByRole("button", { name: "4 Joints", exact: true }).click();
await page.getByRole("slider").focus();
await page.keyboard.press("ArrowRight");
await page.getByText("610 mm").first().waitFor();
await check("joint");
told.joint = await page.evaluate(async () => (await (await fetch("/state")).json()).job.text.includes('at = ["610 mm"] }  # mine'));
await page.getByRole("button", { name: "Undo" }).click();
await page.getByRole("button", { name: "Undo" }).click();
await page.getByRole("slider").waitFor({ state: "detached" });
await press("Next: plan");
await press("Quick look");
await page.getByRole("heading", { name: /What to buy/ }).waitFor({ timeout: 240000 });
await check("plan");

// A piece pushed by keys: right until it stops, then undone.
const piece = page.locator(".piece").first();
const before = await piece.locator(".outline").getAttribute("d");
await piece.focus();
for (const key of ["Shift+ArrowUp", "ArrowUp", "ArrowRight", "ArrowLeft", "ArrowDown"]) {
  await Promise.all([page.waitForResponse((r) => r.url().endsWith("/push")), page.keyboard.press(key)]);
  await page.waitForTimeout(250);
}
told.word = await page.locator("#word").textContent();
if (how === "pointer") {
  let box = null;
  for (let k = 0; k < 40 && !box; k++) { // the page may just be drawn anew
    await page.waitForTimeout(500);
    box = await page.locator(".piece").last().boundingBox().catch(() => null);
  }
  await page.mouse.move(box.x + box.width / 2, box.y + box.height / 2);
  await page.mouse.down();
  await page.mouse.move(box.x + box.width / 2 + 60, box.y + box.height / 2 + 8, { steps: 12 });
  await page.waitForTimeout(300);
  await page.mouse.up();
  await page.waitForTimeout(500);
  told.dragged = await page.locator("#word").textContent();
}
await check("hand");
await piece.focus();
await press("Pin it here");
await page.locator(".piece.pinned").waitFor();
await press("Search again around what is pinned");
await page.getByRole("cell", { name: "Search again around what is pinned", exact: true }).waitFor({ timeout: 120000 });
told.pinned = await page.locator(".piece.pinned").count();
// A click may meet a button that is just being drawn anew: it is pressed until something has changed.
const seen = () => page.evaluate(async () => { const { job, plan } = await (await fetch("/state")).json(); return JSON.stringify([job.what, job.pins, plan?.sheets]); });
for (let k = 0; k < 2; k++) {
  const was = await seen();
  for (let n = 0; n < 5 && (await seen()) === was; n++) {
    await press("Undo");
    for (let m = 0; m < 20 && (await seen()) === was; m++) await page.waitForTimeout(200);
  }
}
await page.locator(".piece.pinned").waitFor({ state: "detached" });
for (let k = 0; k < 8 && (await page.locator(".piece").first().locator(".outline").getAttribute("d")) !== before; k++) {
  await Promise.all([page.waitForResponse((r) => r.url().endsWith("/state")), page.getByRole("button", { name: "Undo" }).click()]);
  await page.waitForTimeout(400);
}
told.undone = (await page.locator(".piece").first().locator(".outline").getAttribute("d")) === before;
await press("Next: papers");
await press("Write the papers");
await page.getByRole("link", { name: "Print this: shop.pdf" }).waitFor({ timeout: 120000 });
await page.waitForTimeout(800);
await check("papers");
told.files = await page.locator("main details a").allTextContents();
console.log(JSON.stringify(told));
await browser.close();
