(() => {
  "use strict";
  const root = document.documentElement;
  const byId = (id) => document.getElementById(id);
  const all = (selector, inside = document) => [...inside.querySelectorAll(selector)];
  const say = (text) => { byId("say").textContent = text; };
  const many = (count) => count + (count === 1 ? " piece" : " pieces");
  const plan = root.dataset.plan;
  /* a browser may keep the boxes it drew for letters before their fonts were read: have it set them anew */
  document.fonts.ready.then(() => { if (document.fonts.size) document.body.style.fontFeatureSettings = '"kern" 1'; });
  const KEY = "nestcut ticks " + plan, SPOILT = "nestcut spoilt " + plan;
  const rows = all(".piece");
  const rowOf = new Map(rows.map((row) => [row.dataset.piece, row]));

  /* ticks: kept in this browser, and taken along as a file */
  const recall = (key) => {
    try { return JSON.parse(localStorage.getItem(key) || "[]").filter((piece) => rowOf.has(piece)); }
    catch { return []; }
  };
  const keep = () => {
    try {
      localStorage.setItem(KEY, JSON.stringify([...cut]));
      localStorage.setItem(SPOILT, JSON.stringify([...spoilt]));
      return true;
    } catch { say("This browser keeps no ticks. Save them as a file."); return false; }
  };
  /* what lay cut when the plan was made is ticked, until someone ticks otherwise */
  let isNew = true;
  try { isNew = localStorage.getItem(KEY) === null; } catch { /* no ticks are kept */ }
  const before = isNew ? rows.filter((row) => "cut" in row.dataset) : [];
  const cut = new Set([...recall(KEY), ...before.map((row) => row.dataset.piece)]);
  const spoilt = new Set(recall(SPOILT).filter((piece) => cut.has(piece)));

  const shapesOf = (piece) =>
    all(".view .outline").filter((shape) => shape.dataset.piece === piece);

  const overlay = (shape, kind) => {
    const outline = shape.querySelector("path");
    if (!outline) return null;
    const copy = outline.cloneNode(false);
    for (const name of [...copy.getAttributeNames()]) {
      if (!["d", "fill-rule"].includes(name)) copy.removeAttribute(name);
    }
    copy.setAttribute("class", kind);
    copy.setAttribute("aria-hidden", "true");
    outline.parentNode.appendChild(copy);
    return copy;
  };

  const showCut = (piece) => {
    const isCut = cut.has(piece), isSpoilt = spoilt.has(piece);
    const row = rowOf.get(piece);
    row.classList.toggle("cut", isCut && !isSpoilt);
    row.classList.toggle("spoilt", isSpoilt);
    row.querySelector("input").checked = isCut;
    const spoil = row.querySelector('[data-do="spoil"]');
    spoil.hidden = !isCut;
    spoil.setAttribute("aria-pressed", isSpoilt);
    for (const shape of shapesOf(piece)) {
      all(".cut-over, .spoilt-over", shape).forEach((old) => old.remove());
      if (isCut) overlay(shape, isSpoilt ? "spoilt-over" : "cut-over");
    }
  };
  const showCount = () => {
    const good = cut.size - spoilt.size;
    byId("count").textContent = good + " of " + rows.length + " pieces cut" +
      (spoilt.size ? ", " + spoilt.size + " spoilt" : "");
    byId("share").value = good;
    const next = all(".group").find((group) => all(".piece", group).some((row) => !cut.has(row.dataset.piece)));
    byId("next").textContent = next ? "next: " + next.querySelector("h3").textContent : "";
  };
  const setCut = (piece, isCut) => {
    if (isCut) cut.add(piece); else { cut.delete(piece); spoilt.delete(piece); }
    showCut(piece); showCount(); keep(); sift();
  };
  for (const row of rows) {
    row.querySelector("input").addEventListener("change", (event) => {
      setCut(row.dataset.piece, event.target.checked);
    });
    row.querySelector('[data-do="spoil"]').addEventListener("click", () => {
      const piece = row.dataset.piece;
      if (spoilt.has(piece)) spoilt.delete(piece); else spoilt.add(piece);
      showCut(piece); showCount(); keep(); sift();
    });
  }

  byId("save").addEventListener("click", () => {
    const told = {
      format: "nestcut progress", version: 1,
      job: { name: root.dataset.job, sha256: root.dataset.sha256 }, plan,
      cut: rows.filter((row) => cut.has(row.dataset.piece)).map((row) => ({
        piece: row.dataset.piece, from: row.dataset.from, stock: row.dataset.stock,
        number: Number(row.dataset.number), spoilt: spoilt.has(row.dataset.piece),
      })),
    };
    const text = JSON.stringify(told, null, 1) + "\n";
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([text], { type: "application/json" }));
    link.download = root.dataset.file + "-progress.json";
    document.body.append(link);
    link.click();
    link.remove();
    setTimeout(() => URL.revokeObjectURL(link.href), 1000);
    say("Saved " + many(told.cut.length) + " as " + link.download + ".");
  });
  byId("load").addEventListener("change", async (event) => {
    const [file] = event.target.files;
    event.target.value = "";
    if (!file) return;
    try {
      const told = JSON.parse(await file.text());
      if (told.format !== "nestcut progress" || !Array.isArray(told.cut)) throw new Error();
      const known = told.cut.map((one) => one.piece).filter((piece) => rowOf.has(piece));
      known.forEach((piece) => cut.add(piece));
      told.cut.filter((one) => one.spoilt === true && rowOf.has(one.piece)).forEach((one) => spoilt.add(one.piece));
      rows.forEach((row) => showCut(row.dataset.piece));
      showCount(); sift();
      const strange = told.cut.length - known.length;
      if (keep()) say(many(known.length) + " ticked" + (strange ? ", " + strange + " are not in this plan." : "."));
    } catch { say("This file holds no ticks of a plan."); }
  });

  /* the list: words, and what is left */
  const words = byId("words"), which = byId("which");
  const sift = () => {
    const wanted = words.value.toLocaleLowerCase().split(/[\s,]+/).filter(Boolean);
    let shown = 0;
    for (const row of rows) {
      const isCut = cut.has(row.dataset.piece) && !spoilt.has(row.dataset.piece);
      const fits = wanted.every((word) => row.dataset.find.toLocaleLowerCase().includes(word)) &&
        (which.value === "all" || (which.value === "cut") === isCut);
      row.hidden = !fits;
      shown += fits ? 1 : 0;
    }
    for (const group of all(".group")) group.hidden = !group.querySelector(".piece:not([hidden])");
    byId("shown").textContent = shown === rows.length ? "" : shown + " shown";
  };
  words.addEventListener("input", sift);
  which.addEventListener("change", sift);

  /* drawings: nearer, farther, moved */
  const views = new Map();
  class View {
    constructor(box) {
      this.box = box; this.svg = box.querySelector("svg"); this.fingers = new Map(); this.moved = 0;
      const v = this.svg.viewBox.baseVal;
      this.whole = [v.x, v.y, v.width, v.height];
      this.now = [...this.whole];
      const figure = box.closest(".sheet");
      const buttons = { near: () => this.zoom(1.6), far: () => this.zoom(1 / 1.6), whole: () => this.all() };
      for (const [name, act] of Object.entries(buttons)) {
        figure.querySelector('[data-do="' + name + '"]').addEventListener("click", act);
      }
      box.addEventListener("wheel", (e) => {
        if (!e.ctrlKey && !e.metaKey) return;
        e.preventDefault();
        this.zoom(Math.exp(-e.deltaY / 300), this.at(e.clientX, e.clientY));
      }, { passive: false });
      box.addEventListener("pointerdown", (e) => this.down(e));
      box.addEventListener("pointermove", (e) => this.move(e));
      for (const name of ["pointerup", "pointercancel", "pointerleave"]) {
        box.addEventListener(name, (e) => this.fingers.delete(e.pointerId));
      }
      box.addEventListener("dblclick", (e) => this.zoom(2, this.at(e.clientX, e.clientY)));
      box.addEventListener("keydown", (e) => this.key(e));
      box.addEventListener("click", (e) => this.pick(e));
    }
    show() {
      this.svg.setAttribute("viewBox", this.now.join(" "));
      const isNear = this.now[2] < this.whole[2] - 1e-6;
      this.box.classList.toggle("near", isNear);
      this.box.classList.remove("whole");
      // on a phone the drawing is wider than its box: what is looked at is in its middle
      if (isNear) this.box.scrollLeft = (this.box.scrollWidth - this.box.clientWidth) / 2;
    }
    all() { this.now = [...this.whole]; this.show(); this.box.classList.add("whole"); }
    at(clientX, clientY) {
      const m = this.svg.getScreenCTM();
      return [(clientX - m.e) / m.a, (clientY - m.f) / m.d];
    }
    limit() {
      for (const k of [0, 1]) {
        const low = this.whole[k], high = this.whole[k] + this.whole[k + 2] - this.now[k + 2];
        this.now[k] = Math.min(Math.max(this.now[k], low), high);
      }
    }
    zoom(by, about) {
      const [x, y, w, h] = this.now;
      const width = Math.min(Math.max(w / by, this.whole[2] / 24), this.whole[2]);
      const height = width * this.whole[3] / this.whole[2];
      const [ax, ay] = about || [x + w / 2, y + h / 2];
      this.now = [ax - (ax - x) * width / w, ay - (ay - y) * height / h, width, height];
      this.limit(); this.show();
    }
    shift(dx, dy) { this.now[0] += dx; this.now[1] += dy; this.limit(); this.show(); }
    lookAt(shape) {
      const b = shape.getBBox();
      const width = Math.min(this.whole[2], Math.max(b.width * 1.8, b.height * 1.8 * this.whole[2] / this.whole[3], this.whole[2] / 4));
      const height = width * this.whole[3] / this.whole[2];
      this.now = [b.x + b.width / 2 - width / 2, b.y + b.height / 2 - height / 2, width, height];
      this.limit(); this.show();
      const at = shape.getBoundingClientRect(), box = this.box.getBoundingClientRect();
      this.box.scrollLeft += (at.left + at.right - box.left - box.right) / 2;
    }
    down(e) { this.moved = 0; this.fingers.set(e.pointerId, [e.clientX, e.clientY]); }
    move(e) {
      const was = this.fingers.get(e.pointerId);
      if (!was) return;
      const before = [...this.fingers.values()];
      const m = this.svg.getScreenCTM();
      this.fingers.set(e.pointerId, [e.clientX, e.clientY]);
      const dx = e.clientX - was[0], dy = e.clientY - was[1];
      this.moved += Math.abs(dx) + Math.abs(dy);
      if (before.length === 1) {
        if (this.box.classList.contains("near")) this.shift(-dx / m.a, -dy / m.d);
      } else {
        const after = [...this.fingers.values()];
        const gap = (two) => Math.hypot(two[0][0] - two[1][0], two[0][1] - two[1][1]) || 1;
        const middle = this.at((after[0][0] + after[1][0]) / 2, (after[0][1] + after[1][1]) / 2);
        this.zoom(gap(after) / gap(before), middle);
      }
    }
    key(e) {
      const step = this.now[2] / 8;
      const acts = {
        "+": () => this.zoom(1.6), "=": () => this.zoom(1.6), "-": () => this.zoom(1 / 1.6), "0": () => this.all(),
        ArrowLeft: () => this.shift(-step, 0), ArrowRight: () => this.shift(step, 0),
        ArrowUp: () => this.shift(0, -step), ArrowDown: () => this.shift(0, step),
      };
      const near = this.box.classList.contains("near");
      if (!acts[e.key] || e.ctrlKey || e.metaKey || e.altKey || (!near && e.key.startsWith("Arrow"))) return;
      e.preventDefault();
      acts[e.key]();
    }
    pick(e) {
      if (this.moved > 6) return;
      const shape = e.target.closest("[data-piece]");
      if (shape && rowOf.has(shape.dataset.piece)) mark(shape.dataset.piece);
    }
  }
  for (const box of all(".view")) views.set(box, new View(box));

  /* printed: every drawing whole, and what the book's front page has comes first */
  const main = document.querySelector("main");
  let moved = [];
  window.addEventListener("beforeprint", () => {
    views.forEach((view) => view.all());
    if (moved.length) return;
    moved = all("[data-front]").map((section) => {
      const place = document.createComment("");
      section.replaceWith(place);
      return { section, place };
    });
    main.prepend(...moved.map((one) => one.section));
  });
  window.addEventListener("afterprint", () => {
    moved.forEach((one) => one.place.replaceWith(one.section));
    moved = [];
  });

  /* finding a piece */
  let found = null;
  const mark = (piece) => {
    if (found) rowOf.get(found).classList.remove("found");
    all(".ring").forEach((old) => old.remove());
    found = piece;
    const row = rowOf.get(piece);
    row.classList.add("found");
    if (matchMedia("(min-width: 60.01rem)").matches) row.scrollIntoView({ block: "nearest" });
    const [shape] = shapesOf(piece);
    if (shape) {
      overlay(shape, "ring");
      const note = shape.closest(".sheet").querySelector(".say");
      note.textContent = row.dataset.words + 
        (spoilt.has(piece) ? " \u2013 spoilt" : cut.has(piece) ? " \u2013 cut" : "");
    }
    return shape;
  };
  const find = (piece) => {
    const shape = mark(piece);
    if (!shape) return;
    const box = shape.closest(".view");
    views.get(box).lookAt(shape);
    box.closest(".sheet").scrollIntoView({ block: "start" });
    box.focus({ preventScroll: true });
  };
  for (const row of rows) {
    row.querySelector('[data-do="show"]').addEventListener("click", () => find(row.dataset.piece));
  }

  /* light and dark */
  const shade = byId("shade");
  const SHADE = "nestcut shade";
  const setShade = (value) => {
    root.toggleAttribute("data-light", value === "light");
    root.toggleAttribute("data-dark", value === "dark");
    shade.value = value;
  };
  try { setShade(localStorage.getItem(SHADE) || "as the device"); } catch { /* as the device */ }
  shade.addEventListener("change", () => {
    setShade(shade.value);
    try { localStorage.setItem(SHADE, shade.value); } catch { /* for this visit only */ }
  });
  byId("print").addEventListener("click", () => window.print());

  rows.forEach((row) => showCut(row.dataset.piece));
  showCount();
})();
