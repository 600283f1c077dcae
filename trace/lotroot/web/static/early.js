/* What if somebody scans before the page's scripts are there? The text waits here; nothing is posted or lost.

   Loaded right behind the field, not as a module: it stands before the first scan can end. scan.js takes over. */

(() => {
  const form = document.querySelector('[data-part="form"]');
  const field = form.querySelector("input");
  const texts = [];
  const hold = (event) => {
    event.preventDefault();
    if (field.value.trim()) texts.push(field.value.trim());
    field.value = "";
  };
  form.addEventListener("submit", hold);
  window.earlyScans = () => {
    form.removeEventListener("submit", hold);
    return texts.splice(0);
  };
})();
