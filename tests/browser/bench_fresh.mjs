// A boat from numbers alone: what is asked is asked in words, and bare numbers count. Prints one JSON document.
import { take } from "./hands.mjs";

const { address, end, page, press, shots, state, told, type, until } = await take(390, 800);

await page.goto(address);
await type(page.locator('[data-key="name of the boat"]'), "num");
await press("Begin with numbers, without a drawing");
await press("2 Parts");
await type(page.locator('[data-key="form length"]'), "700");
await type(page.locator('[data-key="form width"]'), "300");
await type(page.locator('[data-key="form name"]'), "a very long name for a part that somebody has drawn by hand and called so");
await press("Add this part");
const length = page.locator('[data-key="part 1 length"]');
await type(length, "800");
told.shape = (await state()).view.written.part[1].shape;
await type(page.locator('[data-key="part 1 count"]'), "2");
await page.locator('[data-key="part 1 hand"]').selectOption("pair");
await page.getByText("2 pairs are 4 pieces.").waitFor();
await press(/^No: how many pairs: 1/);
told.pairs = (await until("one pair", (s) => s.view.written.part[1].count === 1)).view.written.part[1].hand;

await press("3 Stock");
told.kerf = await page.getByText("How wide is the cut of your saw?").count();
await press("Add a sheet");
told.asked = await page.getByText("Still to be filled in:").last().textContent();
told.wide = {};
for (const step of ["2 Parts", "3 Stock", "4 Joints", "5 Plan"]) {
  await press(step);
  told.wide[step] = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
  await page.screenshot({ path: `${shots}/fresh-${step[0]}.png`, fullPage: true });
}
await end();
