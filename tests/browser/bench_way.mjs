// The whole way on the bench, with pointer or with keys alone; prints one JSON document.
import { take } from "./hands.mjs";

const [how, width] = process.argv.slice(5);
const { address, check: checked, end, named, overhear, page, press: click, quiet, state, told } = await take(Number(width));
overhear();
const check = (step) => checked(step, `${how}-${width}-${step}`);
async function press(name) {
  if (how === "pointer") return click(name);
  await named(name).waitFor();
  for (let k = 0; k < 300; k++) {
    if (await named(name).evaluate((n) => n === document.activeElement)) { await page.keyboard.press("Enter"); return quiet(); }
    await page.keyboard.press("Tab");
  }
  throw new Error(`'${name}' can't be reached with the Tab key`);
}
// One of many like it, which the Tab key would reach late.
async function choose(target) {
  if (how === "pointer") await target.click();
  else { await target.focus(); await page.keyboard.press("Enter"); }
  await quiet();
}

await page.goto(address);
await check("empty");
await press("Try the demo");
await page.getByText("Everything needed for a plan is there.").waitFor();
await check("begin");

// An outline of the drawing: chosen, thrown out, taken again, and all of it undone.
const outline = page.locator("g.drawn").first();
await outline.waitFor();
const jobText = async () => (await state()).job.text;
const begun = await jobText();
await choose(outline);
await check("outline");
await choose(named(/^Not a part/));
await page.locator("g.drawn:not(.part)").first().waitFor();
told.thrown = (await jobText()).length < begun.length;
await press("It is a part");
await page.locator("g.drawn:not(.part)").first().waitFor({ state: "detached" });
told.taken = /outline = "\d+ of \d+"/.test(await jobText());
for (let k = 0; k < 2; k++) await press("Undo");
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
await choose(named(/^Draw its outline/));
await press("Add a knot");
await page.getByLabel("What it is").fill("stain");
await page.getByLabel("What it is").blur();
await check("stock");
await press("Keep this outline");
await page.getByText("Keep this outline").waitFor({ state: "detached" });
told.knot = (await jobText()).includes("stain");
await press("Undo");
told.unknotted = !(await jobText()).includes("stain");
await press("Next: joints");
await check("joints");
await click("As text");
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
await click("Save");
await click("4 Joints");
await page.getByRole("slider").focus();
await page.keyboard.press("ArrowRight");
await page.getByText("610 mm").first().waitFor();
await check("joint");
told.joint = (await jobText()).includes('at = ["610 mm"] }  # mine');
await click("Undo");
await click("Undo");
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
  await page.keyboard.press(key);
  await quiet();
}
told.word = await page.locator("#word").textContent();
if (how === "pointer") {
  const box = await page.locator(".piece").last().boundingBox();
  await page.mouse.move(box.x + box.width / 2, box.y + box.height / 2);
  await page.mouse.down();
  await page.mouse.move(box.x + box.width / 2 + 60, box.y + box.height / 2 + 8, { steps: 12 });
  await page.waitForFunction(() => document.getElementById("word").textContent !== "");
  await page.mouse.up();
  await quiet();
  told.dragged = await page.locator("#word").textContent();
}
await check("hand");
await piece.focus();
await press("Pin it here");
await page.locator(".piece.pinned").waitFor();
await press("Search again around what is pinned");
await page.getByRole("cell", { name: "Search again around what is pinned", exact: true }).waitFor({ timeout: 120000 });
told.pinned = await page.locator(".piece.pinned").count();
for (let k = 0; k < 2; k++) await press("Undo");
await page.locator(".piece.pinned").waitFor({ state: "detached" });
for (let k = 0; k < 8 && (await page.locator(".piece").first().locator(".outline").getAttribute("d")) !== before; k++) {
  await click("Undo");
}
told.undone = (await page.locator(".piece").first().locator(".outline").getAttribute("d")) === before;
await press("Next: papers");
await press("Write the papers");
await page.getByRole("link", { name: "Print this: shop.pdf" }).waitFor({ timeout: 120000 });
await quiet();
await check("papers");
told.files = await page.locator("main details a").allTextContents();
await end();
