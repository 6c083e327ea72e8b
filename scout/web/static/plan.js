// Moves symbols on the plan by pointer, touch and keyboard, and asks the server what the places come to; without it the form does the same.

const board = document.querySelector("[data-plan]");
const form = document.querySelector("[data-plan-form]");
if (board && form) {
  const left = Number(board.dataset.left), top = Number(board.dataset.top);
  const figures = document.querySelector("[data-plan-figures]"), status = document.querySelector("[data-plan-status]");
  const tools = document.querySelector("[data-plan-tools]");
  const undo = tools.querySelector("[data-undo]"), redo = tools.querySelector("[data-redo]");
  const wedge = board.querySelector("[data-wedge]");
  const movers = new Map([...board.querySelectorAll("[data-mover]")].map((mover) => [mover.dataset.mover, mover]));
  const field = (name, axis) => form.elements[`at-${name}-${axis}`];
  const number = (text) => Number(String(text).trim().replace(",", "."));
  const past = [], future = [];
  tools.hidden = false;

  const places = () => JSON.stringify([...movers.keys()].map((name) => [name, ...["x", "y", "z"].map((axis) => field(name, axis).value)]));
  const remember = () => { const now = places(); if (past.at(-1) !== now) { past.push(now); future.length = 0; } buttons(); };
  const buttons = () => { undo.disabled = past.length === 0; redo.disabled = future.length === 0; };
  const draw = (name) => {
    const x = number(field(name, "x").value), y = number(field(name, "y").value);
    if (Number.isFinite(x) && Number.isFinite(y)) movers.get(name).setAttribute("transform", `translate(${(left + 100 * x).toFixed(1)} ${(top - 100 * y).toFixed(1)})`);
  };
  const put = (name, x, y) => {
    field(name, "x").value = x.toFixed(3);
    field(name, "y").value = y.toFixed(3);
    form.dispatchEvent(new Event("input", { bubbles: true }));
    draw(name);
    ask();
  };

  // One question at a time; the last place asked for always gets its answer.
  let asking = false, again = false, trouble = false;
  const ask = async () => {
    if (asking) { again = true; return; }
    asking = true;
    const sent = new URLSearchParams();
    for (const [key, value] of new FormData(form)) if (key.startsWith("at-") || key === "candidate") sent.append(key, value);
    try {
      const answer = await fetch(`${board.dataset.figures}?${sent}`, { headers: { Accept: "application/json" } });
      if (answer.ok) {
        const told = await answer.json();
        figures.innerHTML = told.html;
        const field_m = told.lenses.length ? told.lenses[0].wedge_m : [];
        wedge.setAttribute("points", field_m.map(([x, y]) => `${left + 100 * x},${top - 100 * y}`).join(" "));
        if (trouble) status.textContent = "";
        trouble = false;
      } else { trouble = true; status.textContent = "These places cannot be worked out; look at the numbers below."; }
    } catch { trouble = true; status.textContent = "The server does not answer; the places stay as drawn."; }
    asking = false;
    if (again) { again = false; ask(); }
  };

  const back = (from, to) => {
    const state = from.pop();
    if (!state) return;
    to.push(places());
    for (const [name, x, y, z] of JSON.parse(state)) {
      field(name, "x").value = x; field(name, "y").value = y; field(name, "z").value = z;
      draw(name);
    }
    buttons();
    ask();
  };
  undo.addEventListener("click", () => back(past, future));
  redo.addEventListener("click", () => back(future, past));
  addEventListener("keydown", (event) => {
    if (!(event.ctrlKey || event.metaKey) || event.target.matches("input, textarea, select")) return;
    const key = event.key.toLowerCase();
    if (key === "z" && !event.shiftKey) { event.preventDefault(); back(past, future); }
    else if (key === "y" || (key === "z" && event.shiftKey)) { event.preventDefault(); back(future, past); }
  });

  const inPlan = (event) => {
    const point = new DOMPoint(event.clientX, event.clientY).matrixTransform(board.getScreenCTM().inverse());
    return [(point.x - left) / 100, (top - point.y) / 100];
  };
  const steps = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };
  for (const [name, mover] of movers) {
    let grip = null;
    mover.addEventListener("pointerdown", (event) => {
      if (event.button) return;
      event.preventDefault();
      mover.focus();
      mover.setPointerCapture(event.pointerId);
      remember();
      const [x, y] = inPlan(event);
      grip = [number(field(name, "x").value) - x, number(field(name, "y").value) - y];
    });
    mover.addEventListener("pointermove", (event) => {
      if (!grip) return;
      const [x, y] = inPlan(event);
      put(name, x + grip[0], y + grip[1]);
    });
    const release = () => { if (grip && past.at(-1) === places()) { past.pop(); buttons(); } grip = null; };
    mover.addEventListener("pointerup", release);
    mover.addEventListener("pointercancel", release);
    mover.addEventListener("keydown", (event) => {
      const way = steps[event.key];
      if (!way || event.ctrlKey || event.metaKey || event.altKey) return;
      event.preventDefault();
      remember();
      const step = event.shiftKey ? 0.25 : 0.05;
      const x = number(field(name, "x").value) + way[0] * step, y = number(field(name, "y").value) + way[1] * step;
      put(name, x, y);
      status.textContent = `${name}: ${x.toFixed(2)} m, ${y.toFixed(2)} m`;
    });
    for (const axis of ["x", "y", "z"]) {
      let before = null;
      field(name, axis).addEventListener("focus", () => { before = places(); });
      field(name, axis).addEventListener("change", () => {
        if (before && before !== places()) { past.push(before); future.length = 0; before = places(); buttons(); }
        draw(name);
        ask();
      });
    }
  }
}
