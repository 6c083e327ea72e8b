// Lays two chosen photos on one another with a slider between them: one view on two visits, or lit two ways.

const stage = document.querySelector("[data-compare]");

if (stage) {
  const form = stage.closest("form");
  const open = form.querySelector("[data-compare-open]");
  const slider = stage.querySelector("input");
  const [right, left] = stage.querySelectorAll("img");
  const [leftName, rightName] = stage.querySelectorAll("[data-name]");
  const chosen = () => [...form.querySelectorAll("[name=chosen]:checked")];
  const slide = () => { left.style.clipPath = `inset(0 ${100 - slider.value}% 0 0)`; };
  const put = (picture, name, tick) => {
    const photo = tick.closest("li");
    const words = photo.querySelector(".caption").textContent;
    picture.src = photo.dataset.screen;
    picture.alt = words;
    name.textContent = words;
  };
  const count = () => { open.disabled = chosen().length !== 2; };

  open.hidden = false;
  count();
  form.addEventListener("change", (event) => { if (event.target.name === "chosen") count(); });
  slider.addEventListener("input", slide);
  open.addEventListener("click", () => {
    const [first, second] = chosen();
    put(left, leftName, first);
    put(right, rightName, second);
    stage.hidden = false;
    slider.value = 50;
    slide();
    slider.focus();
    stage.scrollIntoView({ block: "nearest" });
  });
  stage.querySelector("button").addEventListener("click", () => {
    stage.hidden = true;
    open.focus();
  });
}
