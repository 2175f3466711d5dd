// What is typed while another program has changed the job, and while the server is gone, isn't lost;
// a job file that is none as a whole is said on every step. Prints one JSON document.
import { spawn } from "node:child_process";
import { readFileSync, writeFileSync } from "node:fs";
import { take } from "./hands.mjs";

const { address, end, more, news, page, press, told, type } = await take(1280), [folder, python, server] = more;
const box = page.locator("#meanwhile"), job = `${folder}/demo.toml`;
const price = page.getByLabel("Price, 9 mm ply", { exact: true });
const priceIn = () => /price = ([\d.]+)/.exec(readFileSync(job, "utf8"))[1];
async function saves(wanted) {
  for (let k = 0; k < 100 && priceIn() !== wanted; k++) await page.waitForTimeout(100);
  return priceIn();
}

await page.goto(address);
await press("Try the demo");
await page.getByText("Everything needed for a plan is there.").waitFor();
await press("3 Stock");

// Another program writes the job; a price is typed before that is settled.
writeFileSync(job, readFileSync(job, "utf8") + "\n# by hand\n");
await box.getByText("The job file was changed by another program.").waitFor();
told.said = await type(price, "44");
told.outside = [await price.inputValue(), priceIn(), await box.getByText("Typed, but not saved: Price, 9 mm ply: 44").count()];
await press("Take what is in the file");
await box.getByText("changed by another program").waitFor({ state: "detached" });
told.settled = await price.inputValue();
await press("Save it now: Price, 9 mm ply");
await box.getByText("Typed").waitFor({ state: "detached" });
told.saved = [await saves("44"), await box.textContent()];

// The server stops; what is typed meanwhile is kept, and saved once it runs again.
process.kill(Number(server));
await box.getByText("The server has stopped").waitFor();
await type(price, "55");
told.stopped = [await price.inputValue(), await box.textContent(), await news.textContent()];
const again = spawn(python, ["-m", "nestcut", "bench", folder, "--no-browser", "--port", new URL(address).port], { stdio: ["ignore", "pipe", "ignore"] });
try {
  const next = await new Promise((said) => again.stdout.once("data", (words) => said(String(words).trim())));
  await box.getByText("has another key").waitFor();
  const reloaded = await (await page.context().newPage()).goto(new URL("/", address).href);
  told.reloaded = [reloaded.status(), (await reloaded.text()).includes("saved in the job file")];
  await (await page.context().newPage()).goto(next);
  await news.filter({ hasText: "The server runs again." }).waitFor();
  told.back = [await price.inputValue(), await box.textContent()];
  await press("Save it now: Price, 9 mm ply");
  told.savedAgain = await saves("55");

  // A heading is broken: steps that show the job say so, and nothing else.
  writeFileSync(job, readFileSync(job, "utf8") + "\n[[part\n");
  await press("Take what is in the file");
  await box.getByText("changed by another program").waitFor({ state: "detached" });
  told.broken = {};
  for (const step of ["2 Parts", "3 Stock", "4 Joints"]) {
    await press(step);
    told.broken[step] = [await page.locator(".finding strong").allTextContents(), await page.getByText("can’t be read as it stands").count()];
  }
} finally {
  again.kill();
}
await end();
