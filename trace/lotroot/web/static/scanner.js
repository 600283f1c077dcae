/* Which key followed a scanned test code, and how fast did it come?

   A scan ends with Enter, with Tab, or with nothing: then after SILENCE. What arrived is sent with the milliseconds
   from its first to its last key; the server says what it means, and its page's part takes the place of ours.
   The text is sent as it is: what stands round the code is part of the test. */

const SILENCE = 1500; // ms without a key after which nothing more comes; typing by hand is faster, mostly
const LEAST = 3; // characters of a text that was not ended by a key: fewer are no scan

const form = document.querySelector('[data-part="try"]');
const field = form.querySelector("#field-text");
let first = 0;
let last = 0;
let silence;

field.addEventListener("keydown", (event) => {
  const now = performance.now();
  if (event.key === "Enter" || (event.key === "Tab" && !event.shiftKey && field.value !== "")) {
    event.preventDefault();
    tried(event.key === "Enter" ? "enter" : "tab");
    return;
  }
  if (event.key === "Shift" || event.ctrlKey || event.altKey || event.metaKey) return;
  if (field.value === "") first = now;
  last = now;
  clearTimeout(silence);
  silence = setTimeout(() => { if (field.value.length >= LEAST) tried("none"); }, SILENCE);
});

form.addEventListener("submit", (event) => { event.preventDefault(); tried("enter"); });

async function tried(suffix) {
  clearTimeout(silence);
  const text = field.value;
  field.value = "";
  if (text === "") return; // the second half of CR+LF
  const body = new URLSearchParams(new FormData(form));
  body.set("text", text);
  body.set("suffix", suffix);
  body.set("ms", String(Math.round(last - first)));
  let shown;
  try {
    const answer = await fetch(form.action, { method: "POST", body });
    shown = new DOMParser().parseFromString(await answer.text(), "text/html").getElementById("scanner-found");
  } catch {
    shown = null;
  }
  const place = document.getElementById("scanner-found");
  if (shown === null) {
    place.textContent = "The server did not answer. Load the page again and scan once more.";
  } else {
    form.elements.seen.value = shown.dataset.seen;
    place.replaceChildren(...shown.childNodes);
  }
  field.focus();
}
