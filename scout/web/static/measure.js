// Points on a photo of a wall, or on two, set under a loupe by finger or by keys, into the fields of the form; the fields work without it.

const THINGS = { first_at: "Sheet", second_at: "Second", thing_at: "What to measure", left_at: "Left end of the wall", floor_at: "Floor" };
const CORNERS = ["the upper left corner", "the upper right corner", "the lower right corner", "the lower left corner"];
const REACH_PX = 40; // once all of a step are set, a finger this near to one takes it up
const LOUPE = 90; // so much of the picture's thousand is in the loupe

const field = (name) => document.getElementById(name);

// One photo; what is tapped on it goes into the fields whose names begin so. Returns how to draw it anew.
function tappedOn(root) {
  const begins = root.dataset.measure;
  const STEPS = Object.entries(THINGS).map(([of, called]) => ({ of, field: begins + of, called }));
  const picture = root.querySelector("img");
  const over = root.querySelector(".over");
  const loupe = root.querySelector(".loupe");
  const said = root.querySelector("[data-measure-said]");
  const board = root.querySelector(".measure");
  const [wide, high] = [Number(picture.getAttribute("width")), Number(picture.getAttribute("height"))];
  let step = STEPS[0];
  let taken = null; // which point of the step is moved
  const cursor = { x: 0.5, y: 0.5, shown: false };

  const points = ({ field: name }) => field(name).value.split("\n").map((line) => line.split(/[;,\s]+/).filter(Boolean).map(Number)).filter((p) => p.length === 2 && p.every(Number.isFinite));
  const kind = ({ of }) => field({ first_at: "first", second_at: "second" }[of])?.value ?? null;
  // a thing that was one point on the first photo is one point on the second
  const single = ({ of }) => of === "left_at" || of === "floor_at" || (begins && of === "thing_at" && points({ field: of }).length === 1);
  const most = (one) => (single(one) ? 1 : kind(one) === "tape" ? 2 : 4);
  const asked = (one) => one.of !== "second_at" || kind(one);
  const called = (one) => (kind(one) ? field(one.of.replace("_at", "")).selectedOptions[0].textContent : one.called);
  const next = (count) => (most(step) === 4 ? CORNERS[count] : most(step) === 2 ? ["one end", "the other end"][count] : ({ left_at: "any point of the wall's left end", floor_at: "any point where the wall meets the floor" }[step.of] ?? "the same point"));
  const within = (value) => Math.min(1, Math.max(0, value));
  const draw = (into, name, facts) => {
    const made = document.createElementNS("http://www.w3.org/2000/svg", name);
    for (const [key, value] of Object.entries(facts)) made.setAttribute(key, value);
    into.append(made);
  };

  const show = (words = "") => {
    over.replaceChildren();
    for (const one of STEPS) {
      const set = points(one);
      const at = (p) => `${p[0] * 1000} ${p[1] * 1000}`;
      if (set.length > 1) for (const line of ["line-under", "line"]) draw(over, "path", { class: line, d: `M${set.map(at).join("L")}${set.length === 4 ? "Z" : ""}` });
      for (const p of set) for (const dot of ["dot-under", one === step ? "dot now" : "dot"]) draw(over, "path", { class: dot, d: `M${at(p)}h0` });
    }
    if (cursor.shown) draw(over, "path", { class: "cross", d: `M${cursor.x * 1000} 0V1000M0 ${cursor.y * 1000}H1000` });
    const count = points(step).length;
    said.textContent = `${words}${count < most(step) ? `${called(step)}: tap ${next(count)}.` : `${called(step)}: all set.`}`.trim();
    for (const button of root.querySelectorAll("[data-measure-steps] button")) {
      const one = STEPS.find((other) => other.field === button.dataset.step);
      button.hidden = !asked(one);
      button.textContent = `${called(one)} ${points(one).length}/${most(one)}`;
      button.setAttribute("aria-pressed", one === step);
    }
  };
  const magnify = (p) => {
    const box = board.getBoundingClientRect();
    // a square of the screen: as much across as down, in pixels of the picture
    loupe.setAttribute("viewBox", `${p[0] * 1000 - LOUPE / 2} ${p[1] * 1000 * (high / wide) - LOUPE / 2} ${LOUPE} ${LOUPE}`);
    loupe.replaceChildren();
    draw(loupe, "image", { href: picture.src, width: 1000, height: (1000 * high) / wide, preserveAspectRatio: "none" });
    const [x, y] = [p[0] * 1000, p[1] * 1000 * (high / wide)];
    for (const line of ["line-under", "line"]) draw(loupe, "path", { class: line, d: `M${x - LOUPE} ${y}H${x - 3}M${x + 3} ${y}H${x + LOUPE}M${x} ${y - LOUPE}V${y - 3}M${x} ${y + 3}V${y + LOUPE}` });
    loupe.classList.toggle("right", p[0] * box.width < box.width / 2);
    loupe.removeAttribute("hidden");
  };
  const write = (set, words) => {
    field(step.field).value = set.map((p) => `${p[0].toFixed(5)}, ${p[1].toFixed(5)}`).join("\n");
    field(step.field).dispatchEvent(new Event("input", { bubbles: true }));
    show(words);
  };
  const onward = () => {
    if (points(step).length < most(step)) return;
    const after = STEPS.slice(STEPS.indexOf(step) + 1).find((one) => asked(one) && points(one).length < most(one));
    if (after) { step = after; taken = null; show("Set. "); }
  };
  const put = (p) => {
    const set = points(step);
    if (taken === null) {
      if (set.length >= most(step)) return false;
      taken = set.length;
    }
    set[taken] = p;
    write(set, "");
    magnify(p);
    return true;
  };
  const shareOf = (event) => {
    const box = picture.getBoundingClientRect();
    return [within((event.clientX - box.left) / box.width), within((event.clientY - box.top) / box.height)];
  };

  const steps = root.querySelector("[data-measure-steps]");
  for (const one of STEPS) {
    const button = document.createElement("button");
    button.type = "button";
    button.className = "quiet-button";
    button.dataset.step = one.field;
    button.addEventListener("click", () => { step = one; taken = null; loupe.setAttribute("hidden", ""); show(); });
    steps.append(button, " ");
  }
  steps.hidden = false;
  root.querySelector("[data-measure-hint]").hidden = false;
  board.tabIndex = 0;
  board.setAttribute("role", "application");
  board.setAttribute("aria-label", begins ? "The second photo, to set points on" : "The photo, to set points on");

  let grip = null; // from the finger to the point that it took up
  board.addEventListener("pointerdown", (event) => {
    const p = shareOf(event);
    const box = picture.getBoundingClientRect();
    const set = points(step);
    const near = set.map((q) => Math.hypot((q[0] - p[0]) * box.width, (q[1] - p[1]) * box.height));
    const nearest = near.indexOf(Math.min(...near));
    taken = set.length === most(step) && near[nearest] < REACH_PX ? nearest : null;
    grip = taken === null ? [0, 0] : [points(step)[taken][0] - p[0], points(step)[taken][1] - p[1]];
    cursor.shown = false;
    if (!put([p[0] + grip[0], p[1] + grip[1]])) { grip = null; return; }
    board.setPointerCapture(event.pointerId);
    event.preventDefault();
    board.focus({ preventScroll: true });
  });
  board.addEventListener("pointermove", (event) => {
    if (!grip) return;
    const p = shareOf(event);
    put([within(p[0] + grip[0]), within(p[1] + grip[1])]);
  });
  const letGo = () => { if (grip) { grip = null; loupe.setAttribute("hidden", ""); onward(); } };
  board.addEventListener("pointerup", letGo);
  board.addEventListener("pointercancel", letGo);
  board.addEventListener("keydown", (event) => {
    const way = { ArrowRight: [1, 0], ArrowLeft: [-1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
    const far = event.shiftKey ? 20 : 1;
    if (way) {
      const moved = taken !== null && points(step)[taken];
      const from = moved || [cursor.x, cursor.y];
      const to = [within(from[0] + (way[0] * far) / wide), within(from[1] + (way[1] * far) / high)];
      if (moved) put(to);
      else { Object.assign(cursor, { x: to[0], y: to[1], shown: true }); magnify(to); show(); }
    } else if (event.key === "Enter") {
      if (taken !== null && points(step)[taken]) {
        [cursor.x, cursor.y] = points(step)[taken];
        cursor.shown = true;
        taken = null;
        onward();
      } else if (cursor.shown && put([cursor.x, cursor.y])) cursor.shown = false;
      show();
    } else if (event.key === "Backspace") back();
    else return;
    event.preventDefault();
  });
  const back = () => { taken = null; loupe.setAttribute("hidden", ""); write(points(step).slice(0, -1), "Taken away. "); };
  root.querySelector("[data-measure-back]").addEventListener("click", back);
  root.querySelector("[data-measure-skip]").addEventListener("click", () => {
    const later = STEPS.slice(STEPS.indexOf(step) + 1).filter(asked);
    step = later[0] ?? STEPS[0];
    taken = null;
    show();
  });
  for (const one of STEPS) field(one.field).addEventListener("input", (event) => { if (event.isTrusted) show(); });
  onward();
  return show;
}

const roots = [...document.querySelectorAll("[data-measure]")];
if (roots.length && field("first_at")) {
  const boards = roots.map(tappedOn);
  const chosen = () => {
    const kinds = [field("first").value, field("second").value];
    for (const [name, needs] of [["door_width_m", "door"], ["door_height_m", "door"], ["tape_m", "tape"]]) field(name).closest(".field").hidden = !kinds.includes(needs) && !field(name).value;
    for (const show of boards) show();
  };
  for (const name of ["first", "second"]) field(name).addEventListener("change", chosen);
  // what lies on the wall, then the photos, then Measure
  field("first").closest(".part").after(roots[0], ...document.querySelectorAll("[data-measure-keys], [data-measure-keys] ~ [data-measure], [data-measure-keys] ~ .hint"));
  document.querySelector("[data-measure-keys]").hidden = false;
  chosen();
  const again = roots[1];
  if (again && !field("again_first_at").value && !field("again_thing_at").value) again.scrollIntoView();
}
