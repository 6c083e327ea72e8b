/* Ticks beside acts stay on this phone: what one person has done is not yet what everybody has. */
const KEPT = "sillbook-ticks";

function kept() {
  try {
    return new Set(JSON.parse(localStorage.getItem(KEPT) || "[]"));
  } catch {
    return new Set();
  }
}

for (const box of document.querySelectorAll("input[data-tick]")) {
  box.checked = kept().has(box.dataset.tick);
  box.addEventListener("change", () => {
    const all = kept();
    if (box.checked) all.add(box.dataset.tick);
    else all.delete(box.dataset.tick);
    try {
      localStorage.setItem(KEPT, JSON.stringify([...all].slice(-2000)));
    } catch {
      /* a phone that keeps nothing still shows the list */
    }
    for (const twin of document.querySelectorAll("input[data-tick]"))
      if (twin.dataset.tick === box.dataset.tick) twin.checked = box.checked;
  });
}
