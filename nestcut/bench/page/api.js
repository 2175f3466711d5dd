// Talk with the server: every change goes through here, one after another.
let queue = Promise.resolve();

// How many answers are waited for is told to whoever heeds it.
let open = 0, onOpen = () => {};
export function heed(told) { onOpen = told; }
async function awaited(answer) {
  onOpen(open += 1);
  try { return await answer; } finally { onOpen(open -= 1); }
}

async function got(address) {
  const answer = await fetch(address);
  if (!answer.ok) throw new Error(await answer.text());
  return answer.json();
}
async function sent(address, body) {
  const answer = await fetch(address, { method: "POST", body });
  return { status: answer.status, told: await answer.json().catch(() => ({ fault: answer.statusText })) };
}
export const state = () => awaited(got("/state"));
export function post(address, body) {
  const asked = queue.then(async () => sent("/" + address, body === undefined ? "" : JSON.stringify(typeof body === "function" ? await body() : body)));
  queue = asked.catch(() => undefined);
  awaited(queue);
  return asked; // as it is: whoever asked hears of it before the next one is sent
}
export const fetched = (address) => awaited(got("/" + address).then((told) => "told" in told ? told.told : told));
export const upload = (file) => awaited(sent("/upload?name=" + encodeURIComponent(file.name), file));
// Whoever loses the server asks anew himself: a browser doesn't, once it was refused.
export function listen(onTold, onLost) {
  const source = new EventSource("/events");
  source.onmessage = (event) => onTold(JSON.parse(event.data));
  source.onerror = () => { source.close(); onLost(); };
}
// Whether the server is there for this page: "here", "stopped", or "locked" by another key.
export async function reached() {
  try {
    const { status } = await fetch("/state");
    return status === 403 ? "locked" : "here";
  } catch { return "stopped"; }
}
