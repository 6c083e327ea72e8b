// Figures that are still being worked out: asks for the page until it is whole, and opens it.

const note = document.querySelector("[data-waiting]");
const words = note.querySelector("[data-waiting-words]");
const since = Date.now();
setInterval(() => { words.textContent = `${Math.round((Date.now() - since) / 1000)} s so far`; }, 1000);

async function ask() {
  try {
    const answer = await fetch(location.href, { headers: { Accept: "*/*" } });
    if (answer.ok) location.reload(); else location.replace(note.dataset.waiting); // what is wrong is said there
  } catch {
    note.querySelector("[data-waiting-fault]").hidden = false;
    setTimeout(ask, 3000);
  }
}

ask();
