// Sets points on a picture by pointer or keys and writes them, as shares of its size, into a field; the field works without it.
// A skyline joins its points from left to right; on a floor the first four are a rectangle's corners and the next two a shadow.
const STEPS = ["the corner by the wall on the left as you face the wall", "the corner by the wall on the right", "the corner opposite that one", "the last corner",
  "the shadow's edge, near what throws it", "the same edge, far from it"];

for (const trace of document.querySelectorAll("[data-trace]")) {
  const picture = trace.querySelector("img");
  const over = trace.querySelector("svg");
  const field = document.getElementById(trace.dataset.points);
  const said = document.querySelector("[data-trace-said]");
  if (!picture || !over || !field) continue;
  const floor = trace.dataset.trace === "floor";
  const draw = (name, facts) => {
    const element = document.createElementNS("http://www.w3.org/2000/svg", name);
    for (const [key, value] of Object.entries(facts)) element.setAttribute(key, value);
    over.append(element);
    return element;
  };
  const points = () => field.value.split("\n").map((line) => line.split(/[;,\s]+/).filter(Boolean).map(Number)).filter((p) => p.length === 2 && p.every(Number.isFinite));
  const cross = { x: 0.5, y: 0.5, shown: false };
  const show = () => {
    over.replaceChildren();
    const set = points();
    const at = (p) => `${p[0] * 1000} ${p[1] * 1000}`;
    const ordered = [...set].sort((a, b) => a[0] - b[0]);
    const paths = floor ? [set.length > 1 && `M${set.slice(0, 4).map(at).join("L")}${set.length > 3 ? "Z" : ""}`, set.length > 5 && `M${at(set[4])}L${at(set[5])}`]
      : [ordered.length > 1 && `M${ordered.map(at).join("L")}`];
    for (const kind of ["line-under", "line"]) for (const path of paths) if (path) draw("path", { class: kind, d: path });
    for (const p of set) for (const kind of ["dot-under", "dot"]) draw("path", { class: kind, d: `M${at(p)}h0` });
    if (cross.shown) draw("path", { class: "cross", d: `M${cross.x * 1000} 0V1000M0 ${cross.y * 1000}H1000` });
  };
  const write = (set, words) => {
    field.value = set.map((p) => `${p[0].toFixed(4)}, ${p[1].toFixed(4)}`).join("\n");
    field.dispatchEvent(new Event("input", { bubbles: true }));
    said.textContent = words;
    show();
  };
  const asked = (count) => (!floor ? "" : count < STEPS.length ? ` Now ${STEPS[count]}.` : " All six are set.");
  const add = (x, y) => {
    if (floor && points().length >= STEPS.length) { said.textContent = "All six are set; Backspace, or the field below, takes one away."; return; }
    const set = [...points(), [x, y]]; write(set, `Point ${set.length} set, ${Math.round(x * 100)} % from the left, ${Math.round(y * 100)} % from the top.${asked(set.length)}`);
  };
  const held = (value) => Math.min(1, Math.max(0, value));
  trace.setAttribute("tabindex", "0");
  trace.setAttribute("role", "application");
  trace.setAttribute("aria-label", floor ? "The picture, to set corners and shadow" : "The picture, to set points along the skyline");
  document.querySelector("[data-trace-hint]").hidden = false;
  trace.addEventListener("click", (event) => {
    const box = picture.getBoundingClientRect();
    cross.shown = false;
    add(held((event.clientX - box.left) / box.width), held((event.clientY - box.top) / box.height));
  });
  trace.addEventListener("keydown", (event) => {
    const step = event.shiftKey ? 0.05 : 0.005;
    const way = { ArrowRight: [1, 0], ArrowLeft: [-1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
    if (way) {
      Object.assign(cross, { x: held(cross.x + way[0] * step), y: held(cross.y + way[1] * step), shown: true });
      show();
    } else if (event.key === "Enter" && cross.shown) add(cross.x, cross.y);
    else if (event.key === "Backspace") { const set = points().slice(0, -1); write(set, `${set.length} points left.${asked(set.length)}`); }
    else return;
    event.preventDefault();
  });
  field.addEventListener("input", (event) => { if (event.isTrusted) show(); });
  show();
  if (floor) said.textContent = asked(points().length).trim();
}
