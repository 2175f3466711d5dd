// What is typed and can't be read, or only half: field by field. Prints one JSON document.
import { chromium } from "playwright-core";

const [, , address, , browserPath] = process.argv;
const browser = await chromium.launch({ executablePath: browserPath, args: ["--no-sandbox", "--disable-gpu"] });
const page = await (await browser.newContext({ viewport: { width: 1280, height: 900 } })).newPage();
const told = { errors: [], prices: {} };
page.setDefaultTimeout(30000);
page.on("pageerror", (e) => told.errors.push(String(e)));

const state = async () => (await page.request.get(new URL("/state", page.url()).href)).json();
const press = (name) => page.getByRole("button", { name, exact: true }).first().click();
const news = page.locator("#news");
// Types into a field and gives what the page says then.
async function type(field, words) {
  await news.evaluate((n) => { n.textContent = ""; });
  await field.fill(words);
  await field.blur();
  await page.waitForFunction(() => document.getElementById("news").textContent !== "");
  await page.waitForTimeout(600); // the page is drawn once more when the server rings
  return news.textContent();
}

await page.goto(address);
// What can't be read is named, and doesn't stay in the way.
const files = page.locator("input[type=file]");
await files.setInputFiles({ name: "holiday.jpg", mimeType: "image/jpeg", buffer: Buffer.from("x") });
await page.waitForFunction(() => document.getElementById("news").textContent !== "");
told.files = [await news.textContent()];
await files.setInputFiles({ name: "bad.dxf", mimeType: "image/vnd.dxf", buffer: Buffer.from("hello") });
await page.getByLabel("bad.dxf").waitFor();
await page.waitForTimeout(600);
await press("Make a job of the chosen drawings");
await news.filter({ hasText: "can be read" }).waitFor();
await page.waitForTimeout(600);
told.files.push(await news.textContent(), await page.getByLabel("bad.dxf").isChecked());
await press("Try the demo");
await page.getByText("Everything needed for a plan is there.").waitFor();

await press("3 Stock");
const price = page.getByLabel("Price, 9 mm ply", { exact: true });
for (const words of ["-5", "6O", "61.50 USD", "1.234", "61.50 EUR", "EUR 61,50", "62"]) {
  const said = await type(price, words);
  told.prices[words] = [(await state()).view.written.sheet[0].price, /can’t be used/.test(said)];
}

// A bevel that isn't filled in is none; words that are no angle are refused.
await press("2 Parts");
const bench = page.locator('[data-place="part 0"]'), bevel = (key) => bench.locator(`[data-key="part 0 bevel ${key}"]`);
const bevels = async () => (await state()).view.written.part[0].bevels ?? [];
await bench.locator("summary").click();
async function addBevel() {
  await news.evaluate((n) => { n.textContent = ""; });
  await press("Add this bevel: side bench");
  await page.waitForFunction(() => document.getElementById("news").textContent !== "");
  await page.waitForTimeout(500);
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
  for (let k = 0; k < 50 && (await bevels()).length; k++) await page.waitForTimeout(100);
}

// A list of lengths: apart by semicolons, or by commas that can't be decimal ones.
await press("4 Joints");
const thwart = async () => (await state()).view.written.part[1].joint?.at;
told.joints = {};
await page.getByText("Parts that come out in one length").first().click();
await page.getByRole("button", { name: "Let it be joined: middle thwart" }).click();
await page.locator('[data-key="joint kind part 1"]').selectOption("scarf");
const places = page.locator('[data-key="joint part 1"]');
await places.waitFor();
await page.waitForTimeout(600);
for (const words of ["650,5 mm", "400; 800,25", "400, 800", "400,1000", "40 cm,80 cm", "1,650", "abc"]) {
  const said = await type(places, words);
  told.joints[words] = [await thwart(), /can’t be used/.test(said), await places.inputValue()];
}
told.falling = await type(places, "800 mm; 400 mm");
await type(places, "");

// What is shown in an empty field is what counts.
const clear = (key) => page.locator(`[data-key="clear part 1 ${key}"]`), keep = () => page.getByRole("button", { name: "Keep this place clear: middle thwart" }).click();
await news.evaluate((n) => { n.textContent = ""; });
await keep();
await page.waitForTimeout(300);
told.clear = [await news.textContent(), await clear("within").getAttribute("placeholder")];
await clear("at").fill("650 mm");
await clear("at").blur();
await keep();
await page.getByText(/^650 mm, either way/).waitFor();
told.clear.push(await page.getByText(/^650 mm, either way/).textContent(), await page.getByText(/^Rules:/).first().textContent());

console.log(JSON.stringify(told));
await browser.close();
