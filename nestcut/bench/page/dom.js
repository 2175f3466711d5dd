// Elements without strings of HTML: what builders write stays text.
const SVG = "http://www.w3.org/2000/svg";

function fill(node, attrs, children) {
  for (const [key, value] of Object.entries(attrs ?? {})) {
    if (key.startsWith("on")) node.addEventListener(key.slice(2), value);
    else if (key === "value" || key === "checked" || key === "disabled") node[key] = value;
    else if (value !== null && value !== undefined && value !== false) node.setAttribute(key, value === true ? "" : value);
  }
  for (const child of children.flat(3)) if (child !== null && child !== undefined && child !== false) node.append(child);
  return node;
}
export const el = (tag, attrs, ...children) => fill(document.createElement(tag), attrs, children);
export const svg = (tag, attrs, ...children) => fill(document.createElementNS(SVG, tag), attrs, children);
export const button = (text, onclick, attrs) => el("button", { type: "button", onclick, ...attrs }, text);
export const field = (text, input, cls) => el("label", { class: cls }, cls === "beside" ? [input, text] : [text, input]);

export function choice(value, options, onchange, label, attrs) {
  return el("select", { "aria-label": label, ...attrs, onchange: (e) => onchange(e.target.value) },
    options.map(([v, text]) => el("option", { value: v, selected: v === value }, text)));
}
// A value of the job file: what stands there empty is asked.
export const written = (value, onchange, attrs) => entry(value, onchange, { class: value === "" ? "asked" : null, ...attrs });
export function entry(value, onchange, attrs) {
  const input = el("input", { type: "text", value: value ?? "", autocomplete: "off", ...attrs });
  input.addEventListener("change", () => onchange(input.value.trim()));
  return input;
}
