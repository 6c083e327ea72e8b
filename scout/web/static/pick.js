// Picks places of a card and of a wall on a picture, by pointer or keys, into two fields; the fields work without it.

const board = document.querySelector("[data-pick]");
const fields = {};
for (const name of ["card", "grey", "wall"]) if (document.getElementById(name)) fields[name] = document.getElementById(name);

if (board && fields.card) {
  const picture = board.querySelector("img");
  const over = board.querySelector("svg");
  const said = document.querySelector("[data-pick-said]");
  const choice = document.querySelector("[data-pick-which]");
  const cursor = { x: 0.5, y: 0.5, shown: false };
  const one = board.dataset.pick === "one";
  const which = () => choice ? choice.querySelector("input:checked").value : "card";
  const lines = (name) => fields[name].value.split("\n").filter((line) => line.trim());
  const within = (value) => Math.min(1, Math.max(0, value));
  const stroke = (kind, path) => {
    const line = document.createElementNS("http://www.w3.org/2000/svg", "path");
    line.setAttribute("class", kind);
    line.setAttribute("d", path);
    over.append(line);
  };
  const redraw = () => {
    over.replaceChildren();
    for (const name of Object.keys(fields)) {
      for (const line of lines(name)) {
        const [x, y] = line.split(/[;,]/).map(Number);
        if (!Number.isFinite(x) || !Number.isFinite(y)) continue;
        const shape = name !== "wall" ? `M${x * 1000 - 12} ${y * 1000 - 12}h24v24h-24Z` : `M${x * 1000 - 14} ${y * 1000}h28M${x * 1000} ${y * 1000 - 14}v28`;
        stroke("line-under", shape);
        stroke("line", shape);
      }
    }
    if (cursor.shown) stroke("cross", `M${cursor.x * 1000} 0V1000M0 ${cursor.y * 1000}H1000`);
  };
  const keep = (name, all, words) => {
    fields[name].value = all.join("\n");
    said.textContent = words;
    redraw();
  };
  const pick = (x, y) => {
    const name = which();
    keep(name, [...(one ? [] : lines(name)), `${x.toFixed(4)}, ${y.toFixed(4)}`], `A place of the ${name}: ${Math.round(x * 100)} % from the left, ${Math.round(y * 100)} % from the top.`);
    if (choice && name === "card") choice.querySelector("[value=wall]").checked = true;
  };
  board.tabIndex = 0;
  board.setAttribute("role", "application");
  board.setAttribute("aria-label", "The picture, to pick places on");
  if (choice) choice.hidden = false;
  document.querySelector("[data-pick-hint]").hidden = false;
  board.addEventListener("click", (event) => {
    const box = picture.getBoundingClientRect();
    cursor.shown = false;
    pick(within((event.clientX - box.left) / box.width), within((event.clientY - box.top) / box.height));
  });
  board.addEventListener("keydown", (event) => {
    const ways = { ArrowRight: [1, 0], ArrowLeft: [-1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
    const way = ways[event.key];
    const step = event.shiftKey ? 0.05 : 0.005;
    if (way) {
      cursor.x = within(cursor.x + way[0] * step);
      cursor.y = within(cursor.y + way[1] * step);
      cursor.shown = true;
      redraw();
    } else if (event.key === "Enter" && cursor.shown) {
      pick(cursor.x, cursor.y);
    } else if (event.key === "Backspace") {
      keep(which(), lines(which()).slice(0, -1), `The last place of the ${which()} taken away.`);
    } else {
      return;
    }
    event.preventDefault();
  });
  for (const field of Object.values(fields)) field.addEventListener("input", redraw);
  redraw();
}
