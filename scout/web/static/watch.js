// Asks how far a packet is, and opens the page again when it is done; without it the page looks again by itself.

const watched = document.querySelector("[data-watch]");
if (watched) {
  const bar = watched.querySelector("progress");
  const words = watched.querySelector("[data-words]");
  const look = async () => {
    try {
      const answer = await fetch(watched.dataset.watch, { headers: { Accept: "application/json" } });
      const job = await answer.json();
      if (job.over || !answer.ok) { location.reload(); return; }
      if (job.of) { bar.max = job.of; bar.value = job.done; words.textContent = `${job.done} of ${job.of}`; }
    } catch { words.textContent = "the server does not answer; asking again"; }
    setTimeout(look, 700);
  };
  setTimeout(look, 300);
}
