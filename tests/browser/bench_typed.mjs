// What is typed and can't be read, or only half: field by field. Prints one JSON document.
import { take } from "./hands.mjs";

const { address, end, news, page, press, quiet, state, told, type } = await take(1280);
told.prices = {};

await page.goto(address);
// What can't be read is named, and doesn't stay in the way.
const files = page.locator("input[type=file]");
await quiet();
await files.setInputFiles({ name: "holiday.jpg", mimeType: "image/jpeg", buffer: Buffer.from("x") });
await quiet();
told.files = [await news.textContent()];
await files.setInputFiles({ name: "bad.dxf", mimeType: "image/vnd.dxf", buffer: Buffer.from("hello") });
await page.getByLabel("bad.dxf").waitFor();
await quiet();
await press("Make a job of the chosen drawings");
told.files.push(await news.textContent(), await page.getByLabel("bad.dxf").isChecked());
await press("Try the demo");
await page.getByText("Everything needed for a plan is there.").waitFor();

await press("3 Stock");
const price = page.getByLabel("Price, 9 mm ply", { exact: true });
for (const words of ["-5", "6O", "61.50 USD", "1.234", "61.50 EUR", "EUR 61,50", "62"]) {
  const said = await type(price, words);
  told.prices[words] = [(await state()).view.written.sheet[0].price, /can’t be used/.test(said)];
}
// What is marked to be written over stays so when the page is drawn anew meanwhile, and the caret where it stood.
const after = async (marks, kerf) => {
  await price.focus();
  await price.evaluate((field, [start, end]) => { field.isOld = true; field.setSelectionRange(start, end); }, marks);
  await page.evaluate(async (kerf) => {
    const { job } = await (await fetch("/state")).json();
    return fetch("/set", { method: "POST", body: JSON.stringify({ seen: job.digest, path: ["saw", "kerf"], value: kerf, what: "kerf" }) });
  }, kerf);
  await page.waitForFunction(() => document.activeElement.value !== undefined && !document.activeElement.isOld);
  await quiet();
  return price.evaluate((field) => [document.activeElement === field, field.value, field.selectionStart, field.selectionEnd]);
};
told.marked = [await after([0, 2], "2 mm"), await after([1, 1], "2.5 mm")];
await page.keyboard.press("Tab");

// A bevel that isn't filled in is none; words that are no angle are refused.
await press("2 Parts");
const bench = page.locator('[data-place="part 0"]'), bevel = (key) => bench.locator(`[data-key="part 0 bevel ${key}"]`);
const bevels = async () => (await state()).view.written.part[0].bevels ?? [];
await bench.locator("summary").click();
async function addBevel() {
  await press("Add this bevel: side bench");
  return news.textContent();
}
told.bevels = [[await addBevel(), await bevels()]];
for (const tilt of ["steep", "12,5", "8, 15"]) {
  await bench.getByLabel("edge", { exact: true }).selectOption("bottom");
  await bench.getByLabel("larger *").selectOption("good face");
  await bevel("tilt").fill(tilt);
  await bevel("tilt").blur();
  const said = await addBevel();
  told.bevels.push([/can’t be used/.test(said), await bevels()]);
  await press("Undo");
}

// A list of lengths: apart by semicolons, or by commas that can't be decimal ones.
await press("4 Joints");
const thwart = async () => (await state()).view.written.part[1].joint?.at;
told.joints = {};
await page.getByText("Parts that come out in one length").first().click();
await press("Let it be joined: middle thwart");
await page.locator('[data-key="joint kind part 1"]').selectOption("scarf");
await quiet();
const places = page.locator('[data-key="joint part 1"]');
for (const words of ["650,5 mm", "400; 800,25", "400, 800", "400,1000", "40 cm,80 cm", "1,650", "abc"]) {
  const said = await type(places, words);
  told.joints[words] = [await thwart(), /can’t be used/.test(said), await places.inputValue()];
}
told.falling = await type(places, "800 mm; 400 mm");
await type(places, "");

// What is shown in an empty field is what counts.
const clear = (key) => page.locator(`[data-key="clear part 1 ${key}"]`), keep = () => press("Keep this place clear: middle thwart");
await keep();
told.clear = [await news.textContent(), await clear("within").getAttribute("placeholder")];
await clear("at").fill("650 mm");
await clear("at").blur();
await keep();
told.clear.push(await page.getByText(/^650 mm, either way/).textContent(), await page.getByText(/^Rules:/).first().textContent());

await end();
