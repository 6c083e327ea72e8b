// Moves a scene by pointer along the ruler, or by its buttons, and shows at once what turns worse; without it the buttons do the same.
const desk = document.querySelector("[data-day]");
if (desk) {
  // taps come faster than answers: each waits for the one before, so that none is lost
  let turn = Promise.resolve();
  const ask = (name, value) => { turn = turn.then(() => tryOut(name, value)); };
  const tryOut = async (name, value) => {
    const form = desk.querySelector("[data-day-form]"), body = new FormData(form);
    body.set(name, value);
    const answer = await fetch(desk.dataset.dayTry, { method: "POST", body, headers: { "X-Fragment": "1" } });
    if (!answer.ok) { desk.querySelector("[data-day-status]").textContent = "This cannot be tried out just now. Nothing is lost."; return; }
    const unfolded = [...desk.querySelectorAll("details")].map((one) => one.open);
    desk.innerHTML = await answer.text();
    desk.querySelectorAll("details").forEach((one, at) => { one.open = unfolded[at] ?? one.open; });
    draggable();
    const again = desk.querySelector(`button[name="${name}"][value="${value}"]`);
    if (again) again.focus();
  };
  desk.addEventListener("submit", (event) => {
    const button = event.submitter;
    if (!button || !["move", "lock"].includes(button.name)) return;
    event.preventDefault();
    ask(button.name, button.value);
  });
  const draggable = () => {
    for (const chart of desk.querySelectorAll("[data-day-chart]")) {
      const drawing = chart.querySelector("svg"), wide = drawing.viewBox.baseVal.width * Number(chart.dataset.share);
      for (const scene of drawing.querySelectorAll("g[id*='-scene-']")) {
        scene.classList.add("day-scene");
        let from = null;
        const units = (event) => event.clientX * drawing.viewBox.baseVal.width / drawing.getBoundingClientRect().width;
        const minutes = (event) => Math.round((units(event) - from) / wide * 1440 / 5) * 5;
        scene.addEventListener("pointerdown", (event) => { from = units(event); scene.setPointerCapture(event.pointerId); event.preventDefault(); });
        scene.addEventListener("pointermove", (event) => { if (from !== null) scene.setAttribute("transform", `translate(${minutes(event) / 1440 * wide} 0)`); });
        scene.addEventListener("pointerup", (event) => {
          if (from === null) return;
          const by = minutes(event);
          from = null;
          scene.removeAttribute("transform");
          if (by) ask("move", `${scene.id.split("-scene-")[1]}:${by}`);
        });
        scene.addEventListener("pointercancel", () => { from = null; scene.removeAttribute("transform"); });
      }
    }
  };
  draggable();
}
