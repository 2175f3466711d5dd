// Talk with the server: every change goes through here, one after another.
let queue = Promise.resolve();

export async function state() {
  const answer = await fetch("/state");
  if (!answer.ok) throw new Error(await answer.text());
  return answer.json();
}
export function post(address, body) {
  const asked = queue.then(async () => {
    const answer = await fetch("/" + address, { method: "POST", body: body === undefined ? "" : JSON.stringify(typeof body === "function" ? await body() : body) });
    return { status: answer.status, told: await answer.json().catch(() => ({ fault: answer.statusText })) };
  });
  queue = asked.catch(() => undefined);
  return asked;
}
export async function fetched(address) {
  const answer = await fetch("/" + address);
  if (!answer.ok) throw new Error(await answer.text());
  const told = await answer.json();
  return "told" in told ? told.told : told;
}
export async function upload(file) {
  const answer = await fetch("/upload?name=" + encodeURIComponent(file.name), { method: "POST", body: file });
  return { status: answer.status, told: await answer.json().catch(() => ({ fault: answer.statusText })) };
}
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
