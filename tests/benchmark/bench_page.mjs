// How fast the bench's page is: node bench_page.mjs ADDRESS JOB [CHROMIUM]; see bench_page.py.
import { createRequire } from "node:module";
const { chromium } = createRequire(new URL("../browser/", import.meta.url))("playwright-core");
const [, , address, job, browserPath] = process.argv;
const browser = await chromium.launch({ executablePath: browserPath || "/usr/bin/chromium", args: ["--no-sandbox", "--disable-gpu"] });
const page = await (await browser.newContext({ viewport: { width: 1280, height: 900 } })).newPage();
await page.goto(address);
await page.getByRole("button", { name: `Open ${job}`, exact: true }).click();
await page.getByRole("button", { name: "5 Plan", exact: true }).click();
await page.locator(".piece").first().waitFor({ timeout: 60000 });
await page.getByText(/^Proven:/).waitFor({ timeout: 60000 });
const opened = [];
for (let k = 0; k < 5; k++) { // from the address typed to pieces drawn, the server having read the job
  await page.goto("about:blank");
  const began = Date.now();
  await page.goto(address.replace(/\?.*/, "#plan"));
  await page.locator(".piece").first().waitFor({ timeout: 60000 });
  opened.push(Date.now() - began);
}
const place = await page.evaluate(() => { // a piece whose middle isn't a hole
  for (const piece of document.querySelectorAll(".piece")) {
    piece.scrollIntoView({ block: "center" });
    const r = piece.getBoundingClientRect(), x = r.x + r.width / 2, y = r.y + r.height / 2;
    if (piece.contains(document.elementFromPoint(x, y))) return [x, y];
  }
});
await page.evaluate(() => {
  window.told = { frames: [], answers: [] };
  let last = performance.now();
  const frame = (now) => { window.told.frames.push(now - last); last = now; requestAnimationFrame(frame); };
  requestAnimationFrame(frame);
  const fetched = window.fetch;
  window.fetch = async (...words) => { const from = performance.now(); const answer = await fetched(...words); if (String(words[0]).endsWith("/push")) window.told.answers.push(performance.now() - from); return answer; };
});
await page.mouse.move(place[0], place[1]);
await page.mouse.down();
await page.evaluate(() => { window.told.frames.length = 0; });
for (let k = 0; k < 240; k++) {
  await page.mouse.move(place[0] + 60 * Math.sin(k / 12), place[1] + 25 * Math.cos(k / 9));
  await page.waitForTimeout(8);
}
const told = await page.evaluate(() => window.told);
if (process.env.TOLD) console.error(await page.evaluate(() => JSON.stringify({ word: document.getElementById("word")?.textContent, moved: [...document.querySelectorAll(".piece[transform]")].map((n) => n.getAttribute("transform")), held: document.getElementById("held")?.textContent })));
await page.mouse.up();
const sorted = (list) => [...list].sort((a, b) => a - b), at = (list, share) => Math.round(10 * sorted(list)[Math.floor(share * (list.length - 1))]) / 10;
console.log(JSON.stringify({ pieces: await page.locator(".piece").count(), opened_ms: sorted(opened), frames: told.frames.length, frame_ms: { median: at(told.frames, 0.5), p95: at(told.frames, 0.95) }, answers: told.answers.length, answer_ms: { median: at(told.answers, 0.5), p95: at(told.answers, 0.95), most: at(told.answers, 1) } }));
await browser.close();
