// Photos put in order by dragging; the buttons beneath each do the same by keyboard and without scripts.

for (const list of document.querySelectorAll("[data-order]")) {
  const items = [...list.children];
  if (items.length < 2) continue;
  let held = null;
  for (const item of items) {
    item.draggable = true;
    item.addEventListener("dragstart", (event) => { held = item; event.dataTransfer.effectAllowed = "move"; item.classList.add("held"); });
    item.addEventListener("dragend", () => { item.classList.remove("held"); held = null; });
    item.addEventListener("dragover", (event) => { if (held && held !== item) event.preventDefault(); });
    item.addEventListener("drop", (event) => {
      if (!held || held === item) return;
      event.preventDefault();
      const form = held.querySelector("[data-moves] form");
      form.elements.position.value = item.dataset.place;
      form.submit();
    });
  }
}
