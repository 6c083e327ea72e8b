// A code that is shown goes again: after its time, and with the page, so that the way back does not show it.

const held = document.querySelector("[data-shown-for]");
const empty = () => { held.replaceChildren(); };
setTimeout(() => { empty(); location.replace(held.dataset.back); }, Number(held.dataset.shownFor) * 1000);
addEventListener("pagehide", empty);
