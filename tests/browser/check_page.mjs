// Opens one page and tells what happened as JSON: node check_page.mjs PAGE OUT CHROMIUM
import { createRequire } from "node:module";
import { readFileSync } from "node:fs";
import { pathToFileURL } from "node:url";
import path from "node:path";

const require = createRequire(import.meta.url);
const { chromium } = require("playwright-core");
const axe = readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");
const [page_file, out, executablePath] = process.argv.slice(2);
const url = pathToFileURL(page_file).href;

const context = await chromium.launchPersistentContext(path.join(out, "profile"), {
  executablePath, headless: true, acceptDownloads: true,
  args: ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync"],
  viewport: { width: 1440, height: 900 },
});
const page = context.pages()[0] || await context.newPage();
const told = { errors: [], requests: [], axe: {} };
page.on("console", (m) => { if (["error", "warning"].includes(m.type())) told.errors.push(m.text()); });
page.on("pageerror", (e) => told.errors.push(String(e)));
page.on("dialog", (d) => { told.errors.push("dialog " + d.message()); d.dismiss(); });
page.on("request", (r) => { if (r.url() !== url && !r.url().startsWith("blob:")) told.requests.push(r.url()); });

const shot = (name) => page.screenshot({ path: path.join(out, name + ".png") });
const checkAccess = async (name) => {
  await page.evaluate(axe);
  const result = await page.evaluate(() => window.axe.run(document, { resultTypes: ["violations"] }));
  told.axe[name] = result.violations.map((v) => ({
    id: v.id, impact: v.impact, help: v.help, nodes: v.nodes.slice(0, 4).map((n) => n.html.slice(0, 200)),
    count: v.nodes.length,
  }));
};
const cutCount = () => page.textContent("#count");

await page.goto(url);
told.title = await page.title();
told.pieces = await page.locator(".piece").count();
told.names = await page.locator(".piece").evaluateAll((rows) => rows.map((r) => r.dataset.piece));
told.sheets = await page.locator("#sheets .sheet").count();
await shot("wide");
await checkAccess("wide");

// ticks survive a reload
await page.locator(".piece input").nth(0).check();
await page.locator(".piece input").nth(2).check();
told.count_before = await cutCount();
await page.reload();
told.count_after = await cutCount();
told.checked_after = await page.locator(".piece input:checked").count();
told.overlays = await page.locator(".cut-over").count();

// a spoilt piece is cut no more, and stays so
const first = page.locator(".piece").nth(0);
await first.locator('[data-do="spoil"]').click();
await page.reload();
told.count_spoilt = await cutCount();
told.spoilt_words = await page.evaluate(() => getComputedStyle(document.querySelector(".piece.spoilt .more"), "::before").content);
await page.selectOption("#which", "left");
told.spoilt_is_left = await first.isVisible();
await page.selectOption("#which", "all");
const [early] = await Promise.all([page.waitForEvent("download"), page.click("#save")]);
await early.saveAs(path.join(out, "spoilt.json"));
told.saved_spoilt = JSON.parse(readFileSync(path.join(out, "spoilt.json"), "utf8"));
await first.locator('[data-do="spoil"]').click();
told.count_mended = await cutCount();

// by keyboard alone: the third list entry is unticked with the space bar
await page.locator(".piece input").nth(2).focus();
await page.keyboard.press("Space");
told.count_keyboard = await cutCount();

// saved as a file
const [download] = await Promise.all([page.waitForEvent("download"), page.click("#save")]);
told.saved_name = download.suggestedFilename();
await download.saveAs(path.join(out, "progress.json"));
told.saved = JSON.parse(readFileSync(path.join(out, "progress.json"), "utf8"));
told.said = await page.textContent("#say");

// read back after everything is unticked
await page.locator(".piece input").nth(0).uncheck();
await page.setInputFiles("#load", path.join(out, "progress.json"));
await page.waitForFunction(() => document.getElementById("say").textContent.includes("ticked"));
told.count_loaded = await cutCount();

// finding: by words, then on the sheet
const wanted = told.names[Math.floor(told.names.length / 2)];
await page.fill("#words", wanted);
told.visible_found = await page.locator(".piece:visible").count();
const row = page.locator(".piece:visible").filter({ has: page.locator("b") }).first();
told.found = await row.getAttribute("data-piece");
await row.locator('[data-do="show"]').click();
await page.waitForTimeout(300);
told.ring = await page.locator(".ring").count();
told.near = await page.locator(".view.near").count();
told.ring_in_view = await page.evaluate(() => {
  const ring = document.querySelector(".ring");
  if (!ring) return false;
  const r = ring.getBoundingClientRect();
  const x = r.left + r.width / 2, y = r.top + r.height / 2;
  return x > 0 && x < innerWidth && y > 0 && y < innerHeight;
});
told.focus_on_view = await page.evaluate(() => document.activeElement.classList.contains("view"));
await shot("found");
await page.keyboard.press("0");
told.near_after_0 = await page.locator(".view.near").count();
await page.keyboard.press("+");
told.near_after_plus = await page.locator(".view.near").count();
await page.fill("#words", "");

// a piece touched on the drawing is named beneath it
told.touched = await page.evaluate(() => {
  const shape = document.querySelector(".view .outline");
  const b = shape.querySelector("path").getBoundingClientRect();
  return { piece: shape.dataset.piece, at: [b.left, b.top, b.width, b.height] };
});
await page.evaluate(() => document.querySelector(".view .outline path").dispatchEvent(new MouseEvent("click", { bubbles: true })));
told.touched_says = await page.evaluate(() => document.querySelector(".view .outline").closest(".sheet").querySelector(".say").textContent);

told.touched_title = await page.evaluate(() => document.querySelector(".view .outline title").textContent);

// dark
await page.selectOption("#shade", "dark");
await page.evaluate(() => scrollTo(0, 0));
await shot("dark");
await checkAccess("dark");
await page.reload();
told.shade_kept = await page.inputValue("#shade");
await page.selectOption("#shade", "light");

// printed
await page.emulateMedia({ media: "print" });
await page.pdf({ path: path.join(out, "printed.pdf"), preferCSSPageSize: true });
await page.emulateMedia({ media: "screen" });

// a phone, 375 px wide
await page.setViewportSize({ width: 375, height: 740 });
await page.reload();
told.phone = await page.evaluate(() => {
  const inSight = (e) => { const r = e.getBoundingClientRect(); return r.width > 4 && r.height > 4 && r.left >= 0 && r.right <= innerWidth; };
  const cut = (links) => [...links].filter((e) => !inSight(e)).map((e) => e.textContent);
  const words = (svg) => [...svg.querySelectorAll("text")].map((t) => parseFloat(t.getAttribute("font-size")) * svg.clientWidth / svg.viewBox.baseVal.width);
  return {
    menu_cut: cut(document.querySelectorAll(".top nav a")),
    labels_cut: cut(document.querySelectorAll(".pieces > .row label")),
    least_px: Math.min(...[...document.querySelectorAll("#sheets .view svg")].flatMap(words)),
  };
});
told.phone_overflow = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
told.small_targets = await page.evaluate(() => [...document.querySelectorAll("button, select, input[type=search], nav a, .piece input")]
  .filter((e) => e.offsetParent && e.getBoundingClientRect().height < 24).map((e) => e.outerHTML.slice(0, 80)));
await shot("phone");
await page.locator("#sheets .sheet").first().scrollIntoViewIfNeeded();
await page.evaluate(() => document.querySelector("#sheets .sheet").scrollIntoView());
await page.waitForTimeout(600);
await shot("phone-sheet");
// what a piece's button shows is in sight, though the drawing is wider than the phone
await page.locator('.piece [data-do="show"]').first().click();
await page.waitForTimeout(600);
told.phone.shown = await page.evaluate(() => {
  const ring = [...document.querySelectorAll(".view .ring")].find((e) => e.getBoundingClientRect().width > 0);
  const box = ring?.closest(".view").getBoundingClientRect(), r = ring?.getBoundingClientRect();
  return ring ? [(r.left + r.right) / 2 - box.left, box.right - (r.left + r.right) / 2] : [];
});
await shot("phone-shown");
await page.evaluate(() => document.querySelector("#sheets .sheet").scrollIntoView());
await page.evaluate(() => document.querySelector('#sheets [data-do="whole"]').click());
await checkAccess("phone");

// two fingers spread on the drawing bring it closer, one finger then moves it
const cdp = await context.newCDPSession(page);
await cdp.send("Emulation.setTouchEmulationEnabled", { enabled: true, maxTouchPoints: 2 });
const touch = (type, ...points) => cdp.send("Input.dispatchTouchEvent", {
  type, touchPoints: points.map(([x, y], id) => ({ x, y, id })),
});
const seen = () => page.evaluate(() => document.querySelector("#sheets .view svg").getAttribute("viewBox").split(" ").map(Number));
await page.evaluate(() => document.querySelector("#sheets .view").scrollIntoView({ block: "center" }));
const view = await page.locator("#sheets .view").first().boundingBox();
const [cx, cy] = [view.x + view.width / 2, view.y + view.height / 2];
const whole = await seen();
await touch("touchStart", [cx - 20, cy], [cx + 20, cy]);
for (const d of [30, 45, 60]) await touch("touchMove", [cx - d, cy], [cx + d, cy]);
await touch("touchEnd");
const near = await seen();
told.pinch = whole[2] / near[2];
await touch("touchStart", [cx, cy]);
for (const d of [10, 20, 40]) await touch("touchMove", [cx - d, cy]);
await touch("touchEnd");
told.dragged = (await seen())[0] - near[0];

await context.close();
process.stdout.write(JSON.stringify(told));
