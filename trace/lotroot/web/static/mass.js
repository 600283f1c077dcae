// What does the bar or band say that is pointed at, or has the focus?
// The same words stand in its title and label; here they are read without waiting, and by whoever uses keys.
// The frame listens: a picture that listened for the focus would take it itself.

for (const picture of document.querySelectorAll(".mass")) {
  const frame = picture.closest(".picture");
  const line = frame.nextElementSibling;
  const tell = (event) => {
    const said = event.target.closest?.("a, path")?.querySelector("title");
    if (!said) return;
    line.textContent = said.textContent;
    line.classList.add("told");
  };
  frame.addEventListener("mouseover", tell);
  frame.addEventListener("focusin", tell);
}
