// Draws arrows, boxes and words on a photo by pointer or touch into the rows of its form, which do the same by keyboard and without it.
// The server alone says how they look; this script writes shares of the picture and shows where they can be taken hold of.

const board = document.querySelector("[data-overlays]");
const tools = document.querySelector("[data-overlay-tools]");
const rows = document.querySelector("[data-rows=overlays]");
const form = rows?.closest("form");
if (board && tools && form) {
  const said = document.querySelector("[data-overlay-said]"), words = tools.querySelector("[data-overlay-text]");
  const undo = tools.querySelector("[data-undo]"), remove = tools.querySelector("[data-remove]");
  const choices = [...tools.querySelectorAll("[data-tool]")];
  const KEYS = ["kind", "x", "y", "to_x", "to_y", "text"];
  const grips = document.createElementNS("http://www.w3.org/2000/svg", "svg");
  grips.setAttribute("class", "grips");
  grips.setAttribute("aria-hidden", "true");
  board.append(grips);
  const past = [];
  let tool = "", current = "", first = null, drag = null;

  const field = (row, key) => form.elements[`overlays-${row}-${key}`];
  const all = () => [...rows.querySelectorAll("[name$='-kind']")].map((one) => one.name.split("-")[1]).filter((row) => field(row, "kind"));
  const living = () => all().filter((row) => field(row, "kind").value && !field(row, "gone").checked);
  const share = (text) => {
    const value = Number.parseFloat(text.trim().replace(",", ".")) / (text.trim().endsWith("%") ? 100 : 1);
    return Number.isFinite(value) ? value : null;
  };
  const end = (row, pair) => {
    const place = pair.map((key) => share(field(row, key).value));
    return place.includes(null) ? null : place;
  };
  const put = (row, pair, place) => pair.forEach((key, k) => { field(row, key).value = place[k].toFixed(4); });
  const FIRST = ["x", "y"], SECOND = ["to_x", "to_y"];

  // -- how it looks: asked of the server one question at a time; the last state always gets its answer
  let busy = false, again = false;
  const ask = async () => {
    if (busy) { again = true; return; }
    busy = true;
    try {
      const answer = await fetch(board.dataset.overlays, { method: "POST", body: new FormData(form) });
      if (answer.ok) {
        const made = new DOMParser().parseFromString(await answer.text(), "image/svg+xml").documentElement;
        if (made.localName === "svg") board.querySelector(".drawing").replaceWith(document.importNode(made, true));
      }
    } catch { /* without a network the places still stand in the form */ }
    busy = false;
    if (again) { again = false; ask(); }
  };
  const shape = (name, facts) => {
    const made = document.createElementNS("http://www.w3.org/2000/svg", name);
    for (const [key, value] of Object.entries(facts)) made.setAttribute(key, value);
    grips.append(made);
    return made;
  };
  const show = () => {
    const box = board.getBoundingClientRect(), at = ([x, y]) => [x * box.width, y * box.height];
    grips.setAttribute("viewBox", `0 0 ${box.width} ${box.height}`);
    grips.replaceChildren();
    for (const row of living()) {
      const both = [FIRST, SECOND].slice(0, field(row, "kind").value === "words" ? 1 : 2).map((pair) => [pair, end(row, pair)]);
      for (const [pair, place] of both) {
        if (!place) continue;
        const [cx, cy] = at(place);
        if (row === current) for (const kind of ["overlay-now", "overlay-now over"]) shape("circle", { cx, cy, r: 12, class: kind });
        shape("circle", { cx, cy, r: 22, class: "overlay-grip" }).addEventListener("pointerdown", (event) => {
          hold(row);
          remember();
          drag = { row, pair, moved: true };
          board.setPointerCapture(event.pointerId);
          event.preventDefault();
          event.stopPropagation();
        });
      }
    }
    if (first) for (const kind of ["overlay-now", "overlay-now over"]) shape("circle", { cx: at(first)[0], cy: at(first)[1], r: 12, class: kind });
    undo.disabled = past.length === 0;
    remove.disabled = !living().includes(current);
  };
  const changed = () => form.dispatchEvent(new Event("input", { bubbles: true }));
  const hold = (row) => {
    current = row;
    words.value = row === "" ? "" : field(row, "text").value;
    show();
  };

  // -- steps back
  const remember = () => past.push(all().map((row) => [row, KEYS.map((key) => field(row, key).value), field(row, "gone").checked]));
  undo.addEventListener("click", () => {
    const kept = new Map(past.pop().map(([row, ...rest]) => [row, rest]));
    for (const row of all()) {
      const [texts, gone] = kept.get(row) ?? [null, true];
      field(row, "gone").checked = gone;
      if (texts) KEYS.forEach((key, k) => { field(row, key).value = texts[k]; });
    }
    hold(living().includes(current) ? current : "");
    changed();
    said.textContent = "Undone.";
  });
  remove.addEventListener("click", () => {
    remember();
    field(current, "gone").checked = true;
    hold("");
    changed();
    said.textContent = "Removed; it stays until you save the photo.";
  });

  const add = (kind, place) => {
    remember();
    rows.querySelector(":scope > .more-rows").click();
    const row = all().at(-1);
    const folded = field(row, "kind").closest("details");
    if (folded) folded.open = false;
    field(row, "kind").value = kind;
    field(row, "text").value = kind === "words" ? words.value : "";
    put(row, FIRST, place);
    hold(row);
    return row;
  };
  const choose = (wanted) => {
    tool = wanted;
    first = null;
    board.classList.toggle("drawing-now", tool !== "");
    for (const one of choices) one.setAttribute("aria-pressed", String(one.dataset.tool === tool));
    said.textContent = { "": "", arrow: "Drag from the tail to what it points at, or tap both.", box: "Drag from corner to corner, or tap both.",
      words: "Tap where the words stand." }[tool];
    show();
  };
  for (const one of choices) one.addEventListener("click", () => choose(tool === one.dataset.tool ? "" : one.dataset.tool));
  const place = (event) => {
    const box = board.getBoundingClientRect(), within = (value) => Math.min(1, Math.max(0, value));
    return [within((event.clientX - box.left) / box.width), within((event.clientY - box.top) / box.height)];
  };
  const done = (row) => {
    const kind = field(row, "kind").value;
    choose("");
    hold(row);
    changed();
    said.textContent = `${kind === "arrow" ? "Arrow" : kind === "box" ? "Box" : "Words"} drawn. Type its words, drag an end, or draw the next; then save the photo.`;
  };
  board.addEventListener("pointerdown", (event) => {
    if (!tool || !event.isPrimary) return;
    event.preventDefault();
    if (tool === "words") {
      done(add("words", place(event)));
      words.focus();
    } else if (first) {
      const row = add(tool, first);
      put(row, SECOND, place(event));
      done(row);
    } else {
      drag = { from: place(event), x: event.clientX, y: event.clientY };
      board.setPointerCapture(event.pointerId);
    }
  });
  board.addEventListener("pointermove", (event) => {
    if (!drag) return;
    if (!drag.row) {
      if (Math.hypot(event.clientX - drag.x, event.clientY - drag.y) < 8) return;
      drag = { row: add(tool, drag.from), pair: SECOND, made: true };
    }
    put(drag.row, drag.pair, place(event));
    show();
    ask();
  });
  const over = () => {
    if (!drag) return;
    const { row, from, made } = drag;
    drag = null;
    if (made) done(row);
    else if (row) changed();
    else { first = from; said.textContent = tool === "arrow" ? "Now tap what it points at." : "Now tap the other corner."; show(); }
  };
  board.addEventListener("pointerup", over);
  board.addEventListener("pointercancel", over);
  words.addEventListener("focus", () => { if (living().includes(current)) remember(); });
  words.addEventListener("input", () => {
    if (!living().includes(current)) return;
    field(current, "text").value = words.value;
    changed();
  });
  rows.addEventListener("focusin", (event) => {
    const row = event.target.name?.split("-")[1];
    if (row !== undefined && all().includes(row)) hold(row);
  });
  form.addEventListener("input", (event) => {
    if (event.target.name === `overlays-${current}-text`) words.value = event.target.value;
    show();
    ask();
  });
  addEventListener("resize", show);
  board.querySelector("img").addEventListener("load", show);
  tools.hidden = false;
  show();
}
