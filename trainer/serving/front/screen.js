// Keys go to the screen as soon as it stands. Where fingers do the pointing, a tap on a key of the screen should
// not raise the tablet's own keyboard over it: a button does that, when something has to be typed.
const button = document.getElementById("keyboard");

function ready() {
  const keys = document.querySelector(".xterm-helper-textarea");
  if (matchMedia("(pointer: coarse)").matches) {
    keys.inputMode = "none";
    button.hidden = false;
    button.addEventListener("click", () => {
      const wanted = keys.inputMode === "none";
      keys.blur();
      keys.inputMode = wanted ? "text" : "none";
      button.setAttribute("aria-pressed", String(wanted));
      keys.focus();
    });
  }
  keys.focus();
}

new MutationObserver((_, watching) => {
  if (document.body.classList.contains("-first-byte")) {
    watching.disconnect();
    ready();
  }
}).observe(document.body, { attributeFilter: ["class"] });
