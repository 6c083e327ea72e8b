// What is to go elsewhere is copied by a button, and printed by another; without scripts it is marked by hand.

for (const button of document.querySelectorAll("[data-copy]")) {
  const of = document.getElementById(button.dataset.copy);
  const told = document.createElement("span");
  told.setAttribute("role", "status");
  button.after(" ", told);
  button.hidden = false;
  button.addEventListener("click", async () => {
    const text = [...of.querySelectorAll("code")].map((code) => code.textContent).join("\n") || of.textContent.trim();
    try {
      await navigator.clipboard.writeText(text);
      told.textContent = "Copied.";
    } catch { // no HTTPS, or no leave: it lies marked, to be copied by the phone's own menu
      getSelection().selectAllChildren(of);
      told.textContent = "Marked: copy it now.";
    }
  });
}

for (const button of document.querySelectorAll("[data-print]")) {
  button.hidden = false;
  button.addEventListener("click", () => print());
}
