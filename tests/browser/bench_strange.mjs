// A stranger's drawing: no unit, a side with gaps, a bottom drawn half, both longer than a sheet; by
// clicking alone, from an empty folder to shop.pdf. Prints one JSON document.
import { take } from "./hands.mjs";

const { address, check: checked, end, more, named, overhear, page, press, quiet, state, told, until } = await take(1280), [drawing] = more;
overhear();
const check = (step) => checked(step, `strange-${step}`);
const partOf = (now, name) => now.view.parts.find((p) => p.name === name);

await page.goto(address);
const [chooser] = await Promise.all([page.waitForEvent("filechooser"), press("Choose files")]);
await chooser.setFiles(drawing);
await press("Make a job of the chosen drawings");
await page.locator("g.drawn").first().waitFor();
await quiet();
told.seen = await page.evaluate(() => { const at = document.querySelector("section.drawing h3"); return at === document.activeElement && at.getBoundingClientRect().top < innerHeight; });
await check("begin");

await press(/^millimetres/);
await until("unit", (now) => !now.view.findings.some((f) => f.where === "drawings.unit"));
await page.locator(".finding").filter({ hasText: "In which unit" }).first().waitFor({ state: "detached" });
told.unitAskedAgain = await page.locator(".finding").filter({ hasText: /unit/ }).count();
// The bottom is pointed at by a number, and numbers move when the side's gaps are closed.
await page.getByRole("button", { name: /: BOTTOM$/ }).and(page.getByRole("button", { name: /^Half/ })).click();
await page.locator("#news").filter({ hasText: "mirrored about its middle line: saved" }).waitFor();
await until("mirrored", (now) => now.view.written.part.find((p) => p.name === "BOTTOM").drawn_half === "mirror");
told.pointed = (await state()).view.written.part.find((p) => p.name === "BOTTOM").outline;
await press(/^Close the gaps/);
// What has a name and is an outline only now is a part at once, and too long for its sheet.
await page.locator("#news").filter({ hasText: "gaps closed: saved" }).waitFor();
const begun = await until("gaps closed", (now) => !now.view.findings.some((f) => ["DXF-067", "DXF-068"].includes(f.code)));
told.side = begun.view.written.part.find((p) => p.name === "SIDE");
// Solid wood is no part of a sheet.
// The page hears late of this change: what is answered meanwhile is about something else, and saved.
await page.route("**/state", async (asked) => {
  await new Promise((done) => setTimeout(done, 2000));
  await asked.continue().catch(() => {}); // whoever stops holding up lets it go by itself
});
await named("Yes: a rail, sawn from boards: GUNWALE PINE").click();
told.pointedAfter = (await until("a rail", (now) => now.view.written.rail?.[0].name === "GUNWALE PINE")).view.written.part.find((p) => p.name === "BOTTOM").outline;

// Two answers one straight after the other, by keys: the page learns of the first while the second is typed.
const kerf = page.getByLabel("Answer: The saw: kerf"), thick = page.getByLabel("Answer: The job: thickness");
await kerf.fill("2");
await thick.click();
await thick.fill("9");
await until("the first answer", (now) => now.view.written.saw.kerf === "2 mm");
await page.locator("#news").filter({ hasText: "kerf: saved" }).waitFor();
await thick.press("Enter");
await until("answers", (now) => now.view.written.saw.kerf === "2 mm" && now.view.written.job.thickness === "9 mm");
await page.unroute("**/state");
told.asked = begun.view.findings.filter((f) => f.code === "JNT-116" || /^part\[\d\]\.joint\.kind$/.test(f.where)).length;
await press("3 Stock");
await press("Add a board");
for (const [key, value] of [["Material", "pine"], ["Thickness", "18"], ["Width", "95"]]) {
  const at = page.getByLabel(`${key}, new board`, { exact: true });
  await at.fill(value);
  await at.press("Enter");
}
await page.getByLabel("Length, new board 1").fill("3500");
await page.getByLabel("Length, new board 1").press("Enter");
// A board is shown before its length is saved: the length is what is waited for.
await until("a board", (now) => now.view.boards.length === 1 && now.view.written.board[0].lengths[0].length !== "");
told.guessed = (await state()).view.written.board[0];

// The plan says what stands in its way, and leads there.
await press("5 Plan");
await page.getByText("There can be no plan before what stands above is settled.").waitFor();
told.blocked = await page.locator(".blocked .finding strong").allTextContents();
told.boxes = await page.locator(".blocked .finding", { hasText: "SIDE" }).locator("input").count();
told.planDead = await page.getByRole("button", { name: "Plan", exact: true }).isDisabled();
await check("blocked");
await press("Show it: Part “BOTTOM”: joint, keep clear");
await page.getByLabel("Joined by: BOTTOM").selectOption("scarf");
await until("a scarf", (now) => now.view.written.part.find((p) => p.name === "BOTTOM").joint.kind === "scarf");
await press("Nothing to keep clear: BOTTOM");
await until("nothing clear", (now) => partOf(now, "BOTTOM")?.joint);
await page.getByLabel("Joined by: SIDE").selectOption("butt strap");
await press("Nothing to keep clear: SIDE");
const joined = await until("both joined", (now) => partOf(now, "SIDE")?.joint && now.view.usable);
told.bottom = partOf(joined, "BOTTOM").size;
await check("joints");

await press("5 Plan");
await press("Quick look");
await page.getByRole("heading", { name: /What to buy/ }).waitFor({ timeout: 180000 });
told.joints = (await state()).plan.joints.map((j) => `${j.part} ${j.kind}`);
await check("plan");
await press("6 Papers");
await press("Write the papers");
await page.getByRole("link", { name: "Print this: shop.pdf" }).waitFor({ timeout: 120000 });
await check("papers");
told.text = (await state()).job.text;
await end();
