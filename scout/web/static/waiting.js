// Figures that are still being worked out: asks for the page until it is whole, and opens it.

const note = document.querySelector("[data-waiting]");
const words = note.querySelector("[data-waiting-words]");
const since = Date.now();
let away = false; // on the way to another page: to load this one again would call the person back
let opened = false;

setInterval(() => { words.textContent = `${Math.round((Date.now() - since) / 1000)} s so far`; }, 1000);

window.addEventListener("beforeunload", () => {
  if (opened) return;
  away = true;
  setTimeout(() => { away = false; ask(); }, 10000); // still here: it was a file to save, or no answer came
});
window.addEventListener("pageshow", (shown) => { if (shown.persisted) location.reload(); });

async function ask() {
  try {
    const answer = await fetch(location.href, { headers: { Accept: "*/*" } });
    if (away || opened) return;
    opened = true;
    if (answer.ok) location.reload(); else location.replace(note.dataset.waiting); // what is wrong is said there
  } catch {
    if (away || opened) return;
    note.querySelector("[data-waiting-fault]").hidden = false;
    setTimeout(ask, 3000);
  }
}

ask();
