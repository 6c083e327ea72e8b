// Turns the needle of north over a plan by pointer or keys and writes the bearing into its field; the field works without it.

for (const dial of document.querySelectorAll("[data-dial]")) {
  const drawing = dial.querySelector("svg");
  const needle = dial.querySelector("[id$='-needle']");
  const bearing = document.getElementById(dial.dataset.bearing);
  const wall = document.getElementById(dial.dataset.wall);
  const turns = JSON.parse(dial.dataset.turns);
  if (!drawing || !needle || !bearing || !wall) continue;
  const [, , width, height] = drawing.getAttribute("viewBox").split(" ").map(Number);
  const round = (degrees) => ((degrees % 360) + 360) % 360;
  const read = () => {
    const value = Number(bearing.value.replace(",", ".").replace("°", ""));
    return bearing.value.trim() && Number.isFinite(value) ? value : null;
  };
  const outward = () => turns[wall.value] ?? 0;
  const north = () => { const value = read(); return value === null ? drawn : round(outward() - value); };
  let drawn = 0;
  drawn = round(wall.value && read() !== null ? outward() - read() : 0);
  const first = drawn;
  const show = (degrees) => {
    drawn = round(degrees);
    needle.setAttribute("transform", `rotate(${drawn - first} ${width / 2} ${height / 2})`);
    const value = Math.round(round(outward() - drawn) * 10) / 10 % 360;
    drawing.setAttribute("aria-valuenow", String(value));
    drawing.setAttribute("aria-valuetext", `looking out of wall ${wall.value || "A"}: ${value} degrees`);
    return value;
  };
  const set = (degrees) => {
    if (!wall.value) wall.value = "A";
    bearing.value = String(show(degrees));
    bearing.dispatchEvent(new Event("input", { bubbles: true }));
  };
  drawing.setAttribute("role", "slider");
  drawing.setAttribute("tabindex", "0");
  drawing.setAttribute("aria-label", "North over the plan");
  drawing.removeAttribute("aria-labelledby");
  drawing.setAttribute("aria-valuemin", "0");
  drawing.setAttribute("aria-valuemax", "360");
  dial.querySelector("[data-dial-hint]").hidden = false;
  const follow = () => { if (read() !== null) show(north()); };
  bearing.addEventListener("input", (event) => { if (event.isTrusted) follow(); });
  wall.addEventListener("change", follow);
  show(drawn);

  let turning = false;
  const point = (event) => {
    const box = drawing.getBoundingClientRect();
    const x = event.clientX - (box.left + box.width / 2), y = event.clientY - (box.top + box.height / 2);
    if (Math.hypot(x, y) > 8) set(Math.atan2(x, -y) * 180 / Math.PI);
  };
  drawing.addEventListener("pointerdown", (event) => { turning = true; drawing.setPointerCapture(event.pointerId); point(event); event.preventDefault(); drawing.focus({ preventScroll: true }); });
  drawing.addEventListener("pointermove", (event) => { if (turning) point(event); });
  for (const over of ["pointerup", "pointercancel"]) drawing.addEventListener(over, () => { turning = false; });
  drawing.addEventListener("keydown", (event) => {
    const step = (event.shiftKey ? 10 : 1) * ({ ArrowRight: 1, ArrowUp: 1, ArrowLeft: -1, ArrowDown: -1 }[event.key] ?? 0);
    if (step) { set(drawn + step); event.preventDefault(); }
  });
}
