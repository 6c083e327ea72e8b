// Helps with forms; every form works without it. Rows are added in place, a colour can be picked, and unsaved words are not left by accident.

for (const rows of document.querySelectorAll("[data-rows]")) {
  const pattern = rows.querySelector(":scope > template");
  const button = rows.querySelector(":scope > .more-rows");
  if (!pattern || !button) continue;
  button.addEventListener("click", (event) => {
    event.preventDefault();
    const number = Number(rows.dataset.next);
    rows.dataset.next = String(number + 1);
    const row = pattern.content.cloneNode(true);
    for (const element of row.querySelectorAll("*")) {
      for (const name of ["id", "name", "for", "aria-describedby", "aria-labelledby"]) {
        const value = element.getAttribute(name);
        if (value) element.setAttribute(name, value.replaceAll(`${rows.dataset.rows}-NUMBER-`, `${rows.dataset.rows}-${number}-`));
      }
    }
    row.querySelector(".row-title").append(` ${number + 1}`);
    const first = row.querySelector("input:not([type=hidden]), select, textarea");
    button.before(row);
    if (event.isTrusted) first?.focus(); // a script that adds a row leaves the person where they are
  });
}

const corners = document.querySelector("textarea#plan_m");
const wall = document.querySelector("select#facing-wall");
if (corners && wall) corners.addEventListener("input", () => { // as many walls to choose from as corners are typed
  const lines = corners.value.split("\n").filter((line) => line.trim()).length;
  for (let at = wall.options.length - 1; at < Math.min(lines, 26); at += 1) wall.add(new Option(String.fromCharCode(65 + at)));
});

for (const text of document.querySelectorAll("input[data-colour]")) {
  const picker = document.createElement("input");
  picker.type = "color";
  picker.setAttribute("aria-label", "Pick the colour");
  const follow = () => { if (/^#[0-9a-f]{6}$/i.test(text.value)) picker.value = text.value; };
  follow();
  text.addEventListener("input", follow);
  picker.addEventListener("input", () => { text.value = picker.value; });
  text.after(picker);
}

for (const form of document.querySelectorAll("form[data-guard]")) {
  let touched = document.querySelector("#faults, #stale, form[data-typed]") !== null;
  form.addEventListener("input", () => { touched = true; });
  form.addEventListener("submit", () => { touched = false; });
  addEventListener("beforeunload", (event) => { if (touched) event.preventDefault(); });
}

document.querySelector("#faults, #stale")?.focus();
document.querySelector("[data-new-row]")?.nextElementSibling.querySelector("input:not([type=hidden]), select, textarea")?.focus();

// what the record would refuse is said at the field while it is typed
const typing = document.querySelector("[data-typing]");
if (typing) {
  const { judged, length, tell } = await import(typing.dataset.typing);
  const words = JSON.parse(typing.dataset.words);
  const { reader: units } = typing.dataset;
  const lines = new WeakMap();
  // a window wider than its wall, a socket past its end
  const { misfitsOf, saying } = typing.dataset.fitting ? await import(typing.dataset.fitting) : {};
  const beside = misfitsOf && JSON.parse(typing.dataset.neighbours), says = misfitsOf && saying(JSON.parse(typing.dataset.fits), units);
  const sizes = misfitsOf ? ["offset_m", "width_m", "height_m", "sill_m"].map((name) => typing.elements[name]).filter(Boolean) : [];
  const misfit = (field) => {
    if (!sizes.includes(field)) return null;
    const lengths = sizes.map(({ name, value }) => [name, value.trim() ? length(value, units, { runs: false }) : null]);
    const part = { id: typing.elements.id.value.trim(), wall: typing.elements.wall.value, ...Object.fromEntries(lengths.filter(([, m]) => m >= 0 && m !== null)) };
    const found = part.wall && misfitsOf(part, beside, says).find((one) => one.field === field.name);
    return found ? { words: found.words, offers: [] } : null;
  };
  const judge = (field) => {
    const { reads, unit, limits } = field.dataset;
    const found = judged(field.value, { reads, unit, limits: limits && JSON.parse(limits), units, words }) ?? misfit(field);
    let line = lines.get(field);
    if (!line) {
      if (!found) return;
      line = document.createElement("p");
      line.className = "fault";
      line.setAttribute("role", "status");
      lines.set(field, line);
      (field.closest(".box, .three") ?? field).after(line);
    }
    document.getElementById(`${field.id}-fault`)?.remove(); // what the last sending said of it
    tell(line, field, found);
    if (found && field === document.activeElement) line.scrollIntoView({ block: "nearest" }); // not under the bar that saves
  };
  const others = (field) => { for (const other of sizes) if (other !== field && (lines.has(other) || misfit(other))) judge(other); };
  let soon = 0;
  typing.addEventListener("input", ({ target }) => {
    if (sizes.length && target.name === "wall") others(target);
    if (!target.dataset.reads) return;
    clearTimeout(soon);
    const both = () => { judge(target); others(target); };
    if (lines.get(target)?.hidden === false) both();
    else soon = setTimeout(both, 500); // nobody is told that 1. is no number on the way to 1.5
  });
  typing.addEventListener("focusout", ({ target }) => { if (target.dataset.reads) judge(target); });
}
