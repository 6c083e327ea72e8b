// Moves symbols on the plan by pointer, touch and keyboard, and asks the server what the places come to; without it the form does the same.
// Lengths are read by the server alone: this script writes them, and learns from each answer where the typed ones are.

const board = document.querySelector("[data-plan]");
const form = document.querySelector("[data-plan-form]");
const { couldBe } = form ? await import(form.dataset.typing) : {};
if (board && form) {
  const left = Number(board.dataset.left), top = Number(board.dataset.top), k = Number(board.dataset.k), feet = board.dataset.units === "feet";
  const figures = document.querySelector("[data-plan-figures]"), status = document.querySelector("[data-plan-status]");
  const tools = document.querySelector("[data-plan-tools]"), snap = tools.querySelector("[data-snap]");
  const undo = tools.querySelector("[data-undo]"), redo = tools.querySelector("[data-redo]");
  const lensFields = board.querySelector("[data-fields]"), lensNames = board.querySelector("[data-lens-names]"), bands = board.querySelector("[data-bands]"), walk = board.querySelector("[data-walk]");
  const aims = board.querySelector("[data-aims]"), unplaced = document.querySelector("[data-plan-unplaced]");
  let lenses = JSON.parse(board.dataset.lenses), drawn = Number(board.dataset.lens) || null;
  const movers = new Map([...board.querySelectorAll("[data-mover]")].map((mover) => [mover.dataset.prefix, mover]));
  const metres = new Map([...movers].filter(([, mover]) => mover.dataset.metres).map(([prefix, mover]) => [prefix, JSON.parse(mover.dataset.metres)]));
  const field = (prefix, axis) => form.elements[`${prefix}-${axis}`];
  const facing = form.elements.facing;
  const past = [], future = [];
  let held = null;
  tools.hidden = false;

  const inch = 0.0254;
  const length = (m) => {
    const bare = String(Math.round(m * 1000) / 1000);
    if (!feet) return couldBe(bare).length ? `${bare} m` : bare; // as a form writes it: what would be asked about has its unit
    const eighths = Math.round(Math.abs(m) / inch * 8), part = eighths % 8, inches = (eighths - part) / 8;
    const over = part % 4 === 0 ? [part / 4, 2] : part % 2 === 0 ? [part / 2, 4] : [part, 8];
    return `${m < 0 && eighths ? "-" : ""}${Math.floor(inches / 12)}' ${inches % 12}${part ? ` ${over[0]}/${over[1]}` : ""}"`;
  };
  const said = (m) => feet ? length(m) : `${m.toFixed(2)} m`;
  const at = ([x, y]) => [left + 100 * x, top - 100 * y];

  // -- steps back and forth: every field's text, and where its symbol stands
  const fields = () => [...form.elements].filter((one) => one.name && one.type !== "hidden" && one.tagName !== "BUTTON");
  const state = () => JSON.stringify([fields().map((one) => [one.name, one.value]), [...metres]]);
  const buttons = () => { undo.disabled = past.length === 0; redo.disabled = future.length === 0; };
  const remember = () => { const now = state(); if (past.at(-1) !== now) { past.push(now); future.length = 0; } buttons(); };
  const back = (from, to) => {
    const kept = from.pop();
    if (!kept) return;
    to.push(state());
    const [texts, places] = JSON.parse(kept);
    for (const [name, value] of texts) form.elements[name].value = value;
    metres.clear();
    for (const [prefix, place] of places) metres.set(prefix, place);
    buttons();
    drawAll();
    changed();
  };

  // -- drawing
  const towards = (a, b) => a && b ? -Math.atan2(b[1] - a[1], b[0] - a[0]) * 180 / Math.PI : 0;
  const aimOf = (name) => form.elements[`aim-${name}`]?.value === "place" ? metres.get(`aim-${name}`) : undefined;
  const subjectTurn = () => {
    const text = facing.value.trim();
    return text && Number.isFinite(Number(text.replace(",", "."))) ? Number(text.replace(",", ".")) - 90 : towards(metres.get("at-subject"), metres.get("at-camera"));
  };
  const turnOf = (prefix) => {
    if (prefix === "at-subject" || prefix === "facing") return subjectTurn();
    if (prefix === "at-camera") return towards(metres.get(prefix), metres.get("at-subject"));
    if (prefix.startsWith("block-")) return metres.get(prefix)?.[2] ?? 0;
    return prefix.startsWith("at-") ? towards(metres.get(prefix), aimOf(prefix.slice(3)) ?? metres.get("at-subject")) : 0;
  };
  const draw = (prefix) => {
    const mover = movers.get(prefix);
    let spot = metres.get(prefix);
    if (prefix.startsWith("aim-") && form.elements[prefix]?.value !== "place") spot = undefined;
    if (prefix === "facing") {
      const turn = subjectTurn() * Math.PI / 180, subject = metres.get("at-subject");
      spot = subject && [subject[0] + 0.55 * k * Math.cos(turn), subject[1] - 0.55 * k * Math.sin(turn)];
    }
    if (!spot) { mover.setAttribute("visibility", "hidden"); return; }
    mover.removeAttribute("visibility");
    mover.setAttribute("transform", `translate(${at(spot).map((one) => one.toFixed(1)).join(" ")})`);
    mover.querySelector("[data-turn]")?.setAttribute("transform", `rotate(${turnOf(prefix).toFixed(1)})`);
  };
  const path = (kind, ...spots) => {
    const made = document.createElementNS("http://www.w3.org/2000/svg", "path");
    made.setAttribute("class", kind);
    made.setAttribute("d", `M${spots.map((spot) => at(spot).map((one) => one.toFixed(1)).join(" ")).join("L")}`);
    return made;
  };
  const drawAll = () => {
    for (const prefix of movers.keys()) draw(prefix);
    const subject = metres.get("at-subject"), lines = [];
    for (const [prefix, place] of metres) {
      if (!prefix.startsWith("at-") || prefix === "at-subject" || prefix === "at-camera") continue;
      const to = aimOf(prefix.slice(3)) ?? subject;
      if (to) lines.push(path("plan-aim", place, to));
    }
    aims.replaceChildren(...lines);
    const camera = metres.get("at-camera");
    lensFields.replaceChildren(...(camera ? lenses : []).map((lens) =>
      path(lens.focal_length_mm === drawn ? "plan-field plan-field-drawn" : "plan-field", lens.ends_m[0], camera, lens.ends_m[1])));
    for (const button of unplaced.querySelectorAll("[data-place]")) button.hidden = metres.has(button.dataset.place);
    unplaced.hidden = !unplaced.querySelector("[data-place]:not([hidden])");
    const marks = [...movers.keys()].filter((prefix) => prefix.startsWith("path-") && metres.has(prefix));
    walk.setAttribute("points", marks.map((prefix) => at(metres.get(prefix)).join(",")).join(" "));
    names();
  };
  const over = ([, l1, t1, r1, b1], [, l2, t2, r2, b2]) => r1 > l2 && l1 < r2 && b1 > t2 && t1 < b2;
  // Names stand below, above or beside their symbol, wherever no other symbol or name is.
  const names = () => {
    const taken = [], seen = [...movers].filter(([prefix, mover]) => mover.getAttribute("visibility") !== "hidden" && (metres.has(prefix) || prefix === "facing"));
    for (const [prefix, mover] of seen) {
      if (mover.dataset.kind === "block") continue;
      const spot = mover.transform.baseVal.consolidate().matrix;
      taken.push([prefix, spot.e - 17 * k, spot.f - 17 * k, spot.e + 17 * k, spot.f + 17 * k]);
    }
    for (const [prefix, mover] of seen) {
      const text = mover.querySelector(".plan-name");
      if (!text || mover.dataset.kind === "walk") continue;
      const spot = mover.transform.baseVal.consolidate().matrix, wide = text.getComputedTextLength(), high = 22 * k;
      const ways = [[0, 42 * k, "middle"], [0, -28 * k, "middle"], [28 * k, 7 * k, "start"], [-28 * k, 7 * k, "end"], [24 * k, 40 * k, "start"],
        [-24 * k, 40 * k, "end"], [24 * k, -26 * k, "start"], [-24 * k, -26 * k, "end"], [0, 66 * k, "middle"], [0, -52 * k, "middle"]];
      const boxes = ways.map(([x, y, anchor]) => {
        const start = spot.e + x - (anchor === "middle" ? wide / 2 : anchor === "end" ? wide : 0);
        return [prefix, start, spot.f + y - 0.8 * high, start + wide, spot.f + y + 0.2 * high];
      });
      const free = (box) => taken.every((other) => other[0] === prefix || !over(box, other));
      const chosen = Math.max(0, boxes.findIndex(free));
      const [x, y, anchor] = ways[chosen];
      text.setAttribute("x", x); text.setAttribute("y", y); text.style.textAnchor = anchor;
      taken.push([`name of ${prefix}`, ...boxes[chosen].slice(1)]);
    }
    lensNames.replaceChildren();
    const camera = metres.get("at-camera");
    for (const lens of camera ? lenses : []) {
      const text = document.createElementNS("http://www.w3.org/2000/svg", "text"), from = at(camera);
      text.setAttribute("class", "plan-name plan-millimetres");
      text.textContent = `${lens.focal_length_mm} mm`;
      lensNames.append(text);
      const half = text.getComputedTextLength() / 2, high = 22 * k;
      // by the wall, or as far before it as nothing else is named; a lens without room for it goes unnamed: the table has it
      const spots = [36, 64, 92, 124, 160, 200].flatMap((back) => [lens.ends_m[1], lens.ends_m[0]].map((end) => {
        const [x, y] = at(end), far = Math.hypot(x - from[0], y - from[1]) || 1, share = 1 - back * k / far;
        return share > 0.3 ? [from[0] + share * (x - from[0]), from[1] + share * (y - from[1])] : null;
      })).filter(Boolean).map(([x, y]) => [lens.focal_length_mm, x - half, y - 0.6 * high, x + half, y + 0.4 * high])
        .filter((one) => one[1] > 66 && one[3] < board.viewBox.baseVal.width - 66); // between the walls
      const box = spots.find((one) => taken.every((other) => !over(one, other)));
      if (!box) { text.remove(); continue; }
      text.setAttribute("x", box[1] + half); text.setAttribute("y", box[4] - 0.12 * high);
      taken.push(box);
    }
  };

  // -- asking: one question at a time; the last place asked for always gets its answer
  let asking = false, again = false, trouble = false;
  const ask = async () => {
    if (asking) { again = true; return; }
    asking = true;
    const sent = new URLSearchParams();
    for (const [key, value] of new FormData(form)) if (!["csrf_token", "version"].includes(key)) sent.append(key, value);
    try {
      const answer = await fetch(`${board.dataset.figures}?${sent}`, { headers: { Accept: "application/json" } });
      const told = await answer.json();
      if (answer.ok) {
        const unfolded = [...figures.querySelectorAll("details")].map((one) => one.open);
        figures.innerHTML = told.html;
        figures.querySelectorAll("details").forEach((one, at) => { one.open = unfolded[at] ?? false; });
        lenses = told.lenses; drawn = told.lens_mm;
        bands.setAttribute("d", told.bands.map((band) => `M${at(band.start_m).join(" ")}L${at(band.end_m).join(" ")}`).join(""));
        if (!held && !again) {
          metres.clear();
          for (const [prefix, place] of Object.entries(told.places)) metres.set(prefix, place);
          drawAll();
        }
        if (trouble) status.textContent = "";
        trouble = false;
      } else { trouble = true; status.textContent = (told.because ?? ["These places cannot be worked out; look at the numbers below."]).join(" "); }
    } catch { trouble = true; status.textContent = "The server does not answer; the places stay as drawn."; }
    asking = false;
    if (again) { again = false; ask(); }
  };
  const changed = () => { form.dispatchEvent(new Event("input", { bubbles: true })); ask(); };

  // -- moving
  const put = (prefix, place) => {
    metres.set(prefix, place);
    ["x", "y", "z"].forEach((axis, i) => { if (place[i] !== undefined && field(prefix, axis)) field(prefix, axis).value = length(place[i]); });
    if (field(prefix, "turn")) field(prefix, "turn").value = String(Math.round(place[2] * 10) / 10);
    drawAll();
    changed();
  };
  const clear = (prefix) => {
    remember();
    metres.delete(prefix);
    for (const axis of ["x", "y", "z"]) field(prefix, axis).value = "";
    drawAll();
    changed();
  };
  const face = (degrees) => { facing.value = String(Math.round(((degrees % 360) + 360) % 360)); drawAll(); changed(); };
  const step = () => feet ? 2 * inch : 0.05;
  const snapped = (value) => { const grid = feet ? 3 * inch : 0.1; return snap.checked ? Math.round(value / grid) * grid : value; };
  const inPlan = (event) => {
    const point = new DOMPoint(event.clientX, event.clientY).matrixTransform(board.getScreenCTM().inverse());
    return [(point.x - left) / 100, (top - point.y) / 100];
  };
  const keys = { ArrowLeft: [-1, 0, 0], ArrowRight: [1, 0, 0], ArrowUp: [0, 1, 0], ArrowDown: [0, -1, 0], PageUp: [0, 0, 1], PageDown: [0, 0, -1] };
  for (const [prefix, mover] of movers) {
    let grip = null;
    mover.addEventListener("pointerdown", (event) => {
      if (event.button) return;
      event.preventDefault();
      mover.focus({ preventScroll: true });
      mover.setPointerCapture(event.pointerId);
      remember();
      const [x, y] = inPlan(event), place = metres.get(prefix) ?? [x, y];
      grip = [place[0] - x, place[1] - y];
      held = prefix;
    });
    mover.addEventListener("pointermove", (event) => {
      if (!grip) return;
      const [x, y] = inPlan(event);
      if (prefix === "facing") {
        const subject = metres.get("at-subject");
        face(Math.atan2(x - subject[0], y - subject[1]) * 180 / Math.PI);
      } else put(prefix, [snapped(x + grip[0]), snapped(y + grip[1]), ...metres.get(prefix).slice(2)]);
    });
    const release = () => { if (grip && past.at(-1) === state()) { past.pop(); buttons(); } grip = null; held = null; if (!asking) ask(); };
    mover.addEventListener("pointerup", release);
    mover.addEventListener("pointercancel", release);
    mover.addEventListener("keydown", (event) => {
      if (event.ctrlKey || event.metaKey || event.altKey) return;
      if (event.key === "Enter") {
        event.preventDefault();
        document.querySelector("#places").open = true;
        (prefix === "facing" ? facing : field(prefix, "x")).focus(); // its place as numbers
        return;
      }
      const way = keys[event.key], place = metres.get(prefix), turning = { "[": -1, "]": 1 }[event.key];
      if (prefix === "facing" || (turning && prefix === "at-subject")) {
        const turn = turning ?? { ArrowLeft: -1, ArrowDown: -1, ArrowRight: 1, ArrowUp: 1 }[event.key];
        if (!turn) return;
        event.preventDefault();
        remember();
        face(subjectTurn() + 90 + turn * (event.shiftKey ? 15 : 5));
        status.textContent = `facing: ${facing.value} degrees`;
      } else if (turning && prefix.startsWith("block-")) {
        event.preventDefault();
        remember();
        put(prefix, [place[0], place[1], (place[2] + turning * 5) % 360]);
        status.textContent = `${mover.dataset.mover}: turned ${place[2]} degrees`;
      } else if (way) {
        event.preventDefault();
        if (way[2] && (prefix.startsWith("block-") || place.length < 3)) return;
        remember();
        const far = step() * (event.shiftKey ? 5 : 1), next = place.map((one, i) => i < 2 || way[2] ? one + (way[i] ?? 0) * far : one);
        put(prefix, next);
        status.textContent = way[2] ? `${mover.getAttribute("aria-label")}: ${said(next[2])} high` : `${mover.getAttribute("aria-label")}: ${said(next[0])}, ${said(next[1])}`;
      } else if (["Delete", "Backspace"].includes(event.key) && (prefix === "boom" || prefix.startsWith("path-"))) {
        event.preventDefault();
        clear(prefix);
        status.textContent = `${mover.getAttribute("aria-label")} is taken away`;
      }
    });
  }

  // -- adding what has no place yet
  const subject = () => metres.get("at-subject") ?? [1, 1, 1.5];
  tools.addEventListener("click", (event) => {
    const what = event.target.closest("[data-add]")?.dataset.add;
    if (!what) return;
    remember();
    const [x, y, z] = subject();
    if (what === "boom") {
      const camera = metres.get("at-camera") ?? [x, y - 1, z], far = Math.hypot(camera[0] - x, camera[1] - y) || 1;
      put("boom", [x + 0.3 * (camera[0] - x) / far, y + 0.3 * (camera[1] - y) / far, z + 0.6]);
      movers.get("boom").focus();
    } else {
      const open = [...movers.keys()].filter((prefix) => prefix.startsWith("path-") && !metres.has(prefix));
      const last = metres.get(`path-${Number((open[0] ?? "path-1").slice(5)) - 1}`);
      if (!open.length) { status.textContent = "That is as many marks as a walk may have."; return; }
      if (!last && open[1]) put(open[1], [x + 0.5, y, z]);
      put(open[0], last ? [last[0] + 0.4, last[1], last[2]] : [x - 0.5, y, z]);
      movers.get(open[0]).focus();
    }
  });

  // -- placing what stands nowhere yet: its button, then the floor; by keys it comes to the middle, to be moved by arrows
  const USUAL_M = { "at-subject": 1.2, "at-camera": 1.35 }, LIGHT_M = 2; // eyes of who sits, a lens before them, a head (common practice)
  let placing = null;
  const set = (place) => {
    const prefix = placing;
    placing = null;
    board.classList.remove("plan-placing");
    remember();
    put(prefix, [...place.map(snapped), USUAL_M[prefix] ?? LIGHT_M]);
    movers.get(prefix).focus({ preventScroll: true });
    status.textContent = `${movers.get(prefix).getAttribute("aria-label")} stands ${said(metres.get(prefix)[2])} high; change that under Places as numbers.`;
  };
  unplaced.addEventListener("click", (event) => {
    const button = event.target.closest("[data-place]");
    if (!button) return;
    placing = button.dataset.place;
    if (event.detail === 0) { set([(Number(board.viewBox.baseVal.width) / 2 - left) / 100, (top - Number(board.viewBox.baseVal.height) / 2) / 100]); return; }
    board.classList.add("plan-placing");
    status.textContent = "Now tap the floor where it stands.";
    board.scrollIntoView({ block: "nearest" });
  });
  board.addEventListener("pointerdown", (event) => {
    if (!placing) return;
    event.preventDefault();
    event.stopPropagation();
    set(inPlan(event));
  }, true);

  // -- what is typed: the server reads it, and its answer draws it
  let before = null;
  form.addEventListener("focusin", () => { before = state(); });
  form.addEventListener("change", (event) => {
    if (before && before !== state()) { past.push(before); future.length = 0; before = state(); buttons(); }
    const name = event.target.name ?? "";
    if (event.target.tagName === "SELECT" && name.startsWith("aim-") && event.target.value === "place" && !metres.has(name)) {
      put(name, [...subject()]);
      return;
    }
    drawAll();
    ask();
  });
  undo.addEventListener("click", () => back(past, future));
  redo.addEventListener("click", () => back(future, past));
  addEventListener("keydown", (event) => {
    if (!(event.ctrlKey || event.metaKey) || event.target.matches("input:not([type=checkbox]), textarea, select")) return;
    const key = event.key.toLowerCase();
    if (key === "z" && !event.shiftKey) { event.preventDefault(); back(past, future); }
    else if (key === "y" || (key === "z" && event.shiftKey)) { event.preventDefault(); back(future, past); }
  });
  drawAll();
}
