// A link to something that is folded opens it, on this page or from another.

function open() {
  const id = decodeURIComponent(location.hash.slice(1));
  const target = id && document.getElementById(id);
  if (!target) return;
  for (let fold = target.closest("details"); fold; fold = fold.parentElement.closest("details")) fold.open = true;
  target.scrollIntoView();
}

addEventListener("hashchange", open);
open();
