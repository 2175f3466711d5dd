// One drawing as a picture: outlines to be clicked, its own texts, rings round what is at fault.
import { button, el, svg } from "/page/dom.js";
import { W } from "/page/words.js";

const larger = {}; // how many times larger than the page each drawing is shown, by file
const STEPS = [1, 2, 4, 8];

export function drawingPicture(desk, drawing, { chosen, choose, said, mirrored, isAsked }) {
  const [x0, y0, x1, y1] = drawing.box, wide = x1 - x0, size = Math.max(wide, y1 - y0), m = size * 0.03;
  const times = larger[drawing.file] ?? (innerWidth < 700 ? 2 : 1), sign = size / (innerWidth < 700 ? 22 : 50) / times;
  const group = (o) => {
    const state = o.part !== null ? "part" : isAsked(o) ? "asked" : "no", is = chosen === o.number;
    const node = svg("g", { class: `drawn ${state}${is ? " chosen" : ""}`, tabindex: 0, role: "button", "aria-pressed": is ? "true" : "false", "aria-label": said(o), "data-key": `outline ${drawing.file} ${o.number}` },
      svg("path", { class: "hit", d: o.d.split("Z")[0] + "Z" }), svg("path", { d: o.d }), mirrored(o) ? svg("path", { class: "loose", d: o.whole.d.split("Z")[1] + "Z" }) : null, svg("title", {}, said(o)));
    node.addEventListener("click", () => choose(o));
    node.addEventListener("keydown", (e) => { if (e.key === "Enter" || e.key === " ") { e.preventDefault(); choose(o); } });
    return node;
  };
  const upright = (x, y, attrs, words) => svg("text", { x, y: -y, transform: "scale(1,-1)", "text-anchor": "middle", "dominant-baseline": "middle", ...attrs }, words);
  const picture = svg("svg", { class: "picture drawn", viewBox: `${x0 - m} ${-y1 - m} ${wide + 2 * m} ${y1 - y0 + 2 * m}`, role: "group", "aria-label": `${W.drawn.head} ${drawing.file}` },
    svg("defs", {}, svg("pattern", { id: "asked", width: sign * 0.7, height: sign * 0.7, patternUnits: "userSpaceOnUse", patternTransform: "rotate(45)" }, svg("line", { class: "askline", y2: sign * 0.7 }))),
    svg("g", { transform: "scale(1,-1)" }, drawing.loose.map((d) => svg("path", { class: "loose", d })), drawing.outlines.map(group),
      drawing.texts.map((t) => upright(t.at[0], t.at[1], { class: "own", "font-size": Math.max(t.height, sign * 0.4), "text-anchor": "start", "dominant-baseline": "auto" }, t.words)),
      numbers(drawing, sign).map(({ o, x, y }) => svg("g", { class: "tag" + (chosen === o.number ? " chosen" : "") }, svg("circle", { cx: x, cy: y, r: sign * 0.75 }), upright(x, y, { "font-size": sign }, String(o.number)))),
      drawing.rings.filter((r) => r.letter).map((r) => svg("g", { class: "ring" }, svg("circle", { cx: r.at[0], cy: r.at[1], r: sign * 0.8 }), upright(r.at[0] + sign, r.at[1] + sign, { "font-size": sign * 0.9 }, r.letter)))));
  picture.style.width = `${100 * times}%`;
  const zoom = (to) => { larger[drawing.file] = to; desk.draw(); }, at = STEPS.indexOf(times);
  return el("div", {}, el("div", { class: "row" },
    button(W.drawn.larger, () => zoom(STEPS[at + 1]), { disabled: at === STEPS.length - 1, "data-key": `larger ${drawing.file}` }),
    button(W.drawn.smaller, () => zoom(STEPS[at - 1]), { disabled: at === 0, "data-key": `smaller ${drawing.file}` })),
  el("div", { class: "pan", tabindex: 0, role: "region", "aria-label": `${W.drawn.head} ${drawing.file}, ${W.drawn.pan}`, "data-pan": drawing.file }, picture));
}

// A place for each number: the middle of its outline where that is free, else on its line.
function numbers({ outlines, texts }, sign) {
  const taken = [];
  // A text is as long as its letters; a number on it could not be read, nor the text.
  const lies = texts.map(({ at, height, words }) => { const high = Math.max(height, sign * 0.4); return [at[0] - sign, at[1] - sign, at[0] + high * 0.6 * words.length + sign, at[1] + high + sign]; });
  const onText = ([x, y]) => lies.some(([x0, y0, x1, y1]) => x > x0 && x < x1 && y > y0 && y < y1);
  const far = (x, y) => Math.min(...taken.map((p) => Math.hypot(p[0] - x, p[1] - y)), Infinity);
  return [...outlines].sort((a, b) => a.number - b.number).map((o) => {
    const middle = [(o.box[0] + o.box[2]) / 2, (o.box[1] + o.box[3]) / 2], places = [middle, ...[0.25, 0.75].flatMap((k) => [[o.box[0] + k * (o.box[2] - o.box[0]), middle[1]], [middle[0], o.box[1] + k * (o.box[3] - o.box[1])]]).filter((p) => isInside(o.d, p)), ...along(o.d)];
    const at = places.find((p) => far(...p) > sign * 1.8 && !onText(p)) ?? places.find((p) => far(...p) > sign * 1.8) ?? places.reduce((a, b) => far(...b) > far(...a) ? b : a);
    taken.push(at);
    return { o, x: at[0], y: at[1] };
  });
}
function isInside(d, [x, y]) {
  const ring = d.split("Z")[0].slice(1).split("L").map((p) => p.split(",").map(Number));
  return ring.reduce((is, [ax, ay], i) => { const [bx, by] = ring[(i + 1) % ring.length]; return (ay > y) !== (by > y) && x < ax + (y - ay) / (by - ay) * (bx - ax) ? !is : is; }, false);
}
function along(d) {
  const points = d.split("Z")[0].slice(1).split("L").map((p) => p.split(",").map(Number)), places = [];
  points.forEach((p, i) => {
    const q = points[(i + 1) % points.length];
    places.push([(p[0] + q[0]) / 2, (p[1] + q[1]) / 2]);
  });
  const step = Math.max(1, Math.floor(places.length / 24));
  return places.filter((_, i) => i % step === 0);
}
