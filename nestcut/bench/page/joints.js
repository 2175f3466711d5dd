// Where parts longer than the stock are joined: to scale, with the stretches that stay clear.
import { button, el, entry, field } from "/page/dom.js";
import { W } from "/page/words.js";

export function joints(desk) {
  const t = W.joints, { view, plan } = desk.now, written = view.written.part ?? [];
  const ruled = view.parts.filter((p) => p.joint);
  return [
    el("h2", {}, t.head), ruled.length ? ruled.map((p) => part(desk, p, written.findIndex((w) => w.name === p.name), plan)) : el("p", {}, t.none),
    plan?.joints.length ? [el("h3", {}, t.planned), el("ul", {}, plan.joints.map((j) => el("li", {}, `${j.part}${j.hand ? ", " + j.hand : ""}: ${j.kind} at ${j.at}, overlap ${j.overlap}, ${j.slope}`)))] : null,
    button(t.next, () => desk.go("plan"), { class: "main" }),
  ];
}

function part(desk, p, k, plan) {
  const t = W.joints, [x0, , x1] = p.box, length = x1 - x0;
  const share = (mm) => `${Math.max(0, Math.min(100, 100 * mm / length))}%`;
  const at = p.joint.at_mm ?? [];
  const bar = el("div", { class: "bar", role: "img", "aria-label": `${p.name}: ${p.size}` },
    p.joint.keep_clear.map(([a, b]) => { const s = el("span", { class: "clear" }); s.style.left = share(a); s.style.width = share(b - a); return s; }),
    at.map((mm, i) => { const s = el("span", { class: "joint" }), n = el("span", { class: "tick" }, p.joint.at[i]); s.style.left = n.style.left = share(mm); return [s, n]; }));
  const raw = k >= 0 ? desk.now.view.written.part[k].joint : null;
  const change = (v) => {
    const path = ["part", k, "joint", "at"], words = `${p.name}, ${t.head}`;
    if (!v) return raw && typeof raw === "object" && "at" in raw && desk.edit("remove", { path }, words);
    return desk.edit("set", { path, value: v.split(",").map((s) => s.trim()).filter(Boolean) }, words);
  };
  return el("section", { class: "card" }, el("h3", {}, `${p.name}: ${p.joint.kind} ${p.joint.kind === "scarf" ? p.joint.slope : ""}`), bar,
    el("p", {}, p.joint.at ? t.given : t.free),
    raw && typeof raw === "object" ? field(t.at, entry((p.joint.at ?? []).join(", "), change, { "data-key": "joint " + k })) : null);
}
