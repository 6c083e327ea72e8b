// Sends photos or recordings one by one and tells how far each is; without it the form sends them together.

const megabytes = (bytes) => `${(bytes / 1e6).toFixed(bytes < 1e7 ? 1 : 0)} MB`;

function send(form, file, tell) {
  return new Promise((resolve) => {
    const body = new FormData();
    for (const field of form.querySelectorAll("input:not([type=file]), select")) if (field.name) body.append(field.name, field.value);
    body.append(form.querySelector("input[type=file]").name, file, file.name);
    const request = new XMLHttpRequest();
    request.open("POST", form.action);
    request.setRequestHeader("Accept", "application/json");
    request.upload.addEventListener("progress", (event) => { if (event.lengthComputable) tell(event.loaded, event.total); });
    const fail = (words) => resolve({ name: file.name, refused: words });
    request.addEventListener("load", () => {
      let answer = null;
      try { answer = JSON.parse(request.responseText); } catch { /* not our answer: said below */ }
      const mine = answer?.files?.[0];
      if (mine) resolve(mine);
      else fail(answer?.because?.join(" ") ?? `The server answered ${request.status}. Try this file again.`);
    });
    request.addEventListener("error", () => fail("The connection broke, or the file changed while it was sent. Nothing of it was kept; try it again."));
    request.send(body);
  });
}

for (const form of document.querySelectorAll("form.upload")) {
  form.addEventListener("submit", async (event) => {
    const picker = form.querySelector("input[type=file]");
    const files = [...picker.files];
    if (!files.length) return;
    event.preventDefault();
    const button = form.querySelector("button");
    const list = form.querySelector(".progress-list");
    const most = Number(form.dataset.mostBytes);
    button.disabled = true;
    list.replaceChildren();
    const rows = files.map((file) => {
      const row = document.createElement("p");
      const name = document.createElement("span");
      name.textContent = `${file.name} (${megabytes(file.size)})`;
      name.dir = "auto";
      const bar = document.createElement("progress");
      bar.max = Math.max(1, file.size);
      bar.value = 0;
      bar.setAttribute("aria-label", file.name);
      const outcome = document.createElement("span");
      outcome.className = "outcome";
      row.append(name, bar, outcome);
      list.append(row);
      return { bar, outcome };
    });
    let clean = true;
    let page = null;
    for (const [index, file] of files.entries()) {
      const { bar, outcome } = rows[index];
      const answer = file.size > most
        ? { refused: `${file.name} has ${megabytes(file.size)}; the limit is ${megabytes(most)}.` }
        : await send(form, file, (loaded, total) => { bar.max = total; bar.value = loaded; if (loaded === total) outcome.textContent = "sent, being read"; });
      bar.value = answer.refused ? 0 : bar.max;
      const words = answer.refused ?? ["Kept.", answer.duplicate_of ? "The same file is here already." : "", ...(answer.warnings ?? [])].filter(Boolean).join(" ");
      outcome.textContent = words;
      outcome.classList.toggle("bad", Boolean(answer.refused));
      if (words !== "Kept.") clean = false;
      page = answer.address ?? page;
      const empty = form.previousElementSibling;
      if (!answer.refused && empty?.matches(".empty-box")) empty.remove(); // there is one now
    }
    button.disabled = false;
    picker.value = "";
    const back = form.dataset.back ?? "photos";
    if (clean && page && files.length === 1) { location.assign(page); return; }
    if (clean) { location.hash = back; location.reload(); return; }
    const again = document.createElement("a");
    again.className = "main-button";
    again.href = location.pathname + location.search;
    again.textContent = form.dataset.show ?? "Show the photos";
    again.addEventListener("click", (click) => { click.preventDefault(); location.hash = back; location.reload(); });
    list.append(again);
  });
}
