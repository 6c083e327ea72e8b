// Hours that only the days' plan knows: fetched after the page, since working them out may take a while.

const AGAIN_MS = 2000;
const places = [...document.querySelectorAll("[data-hours]")];

async function ask(address) {
  const answer = await fetch(address, { headers: { Accept: "*/*" } });
  if (answer.status === 202) {
    setTimeout(() => ask(address), AGAIN_MS);
    return;
  }
  if (!answer.ok) return; // the page stands as it was sent: the hours that a scene may be shot in
  const found = new DOMParser().parseFromString(await answer.text(), "text/html");
  for (const place of places) {
    if (place.dataset.hours !== address) continue;
    const row = found.querySelector(`[data-of="${place.dataset.of}"]`) ||
      found.querySelector(`[data-of^="${place.dataset.of}-"]`);
    if (!row) continue;
    const known = row.cloneNode(true);
    if (!("dated" in place.dataset)) known.querySelector("[data-date]")?.remove();
    place.replaceChildren(...known.childNodes);
  }
}

for (const address of new Set(places.map((place) => place.dataset.hours)))
  ask(address).catch(() => { /* without signal the page stands as it was sent */ });
