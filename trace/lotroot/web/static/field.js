/* How does a text get from the scanner into the scan field, and how does the field keep the focus?

   A wedge scanner is a keyboard: characters, then Enter, Tab, LF, CR+LF or Enter twice. Any of these ends a scan;
   lone or doubled suffixes are ignored. Tab moves on as usual where a person typed and not a scanner.

   A scale that types does the same. Whether a machine typed a text or fingers is told by the pace from its first
   key to the Enter behind it: by the times the keys were pressed at, not when a busy page came to read them. */

import { setting } from "./setting.js";

const SUFFIX = 250; // ms after a scan in which a further Tab is the scanner's own suffix
const BURST = 50; // ms a key: faster is a scanner or a scale (the best typists take 80, Card, Moran and Newell)
const KEYBOARD = "lotroot-keyboard";

const form = document.querySelector('[data-part="form"]');
const field = form.querySelector("input");
let take;
let lastTaken = -Infinity;
let firstKey = -Infinity; // when the first key of what stands in the field was pressed
let lastKey = 0;
let ending = false; // whether the last key was an Enter: without one the form's button was clicked

/** Watch the field and the page; `taken(text, by)` gets each text, and who typed it: scale, hand or "". */
export function watchField(taken) {
  take = taken;
  form.addEventListener("submit", (event) => { event.preventDefault(); takeField(); });
  field.addEventListener("keydown", onFieldKey);
  document.addEventListener("keydown", onStrayKey);
  document.addEventListener("click", onClick);
  for (const event of ["focus", "pageshow"]) window.addEventListener(event, refocus);
  keyboardSwitch();
  refocus();
}

/** Give the field the focus, unless somebody types elsewhere on the page. */
export function refocus() {
  const active = document.activeElement;
  if (active === field || editable(active)) return;
  field.focus({ preventScroll: true });
}

function takeField() {
  const text = field.value.trim();
  field.value = "";
  const by = ending && inOneGo(text.length) ? "scale" : "hand";
  firstKey = -Infinity;
  if (!text) return; // a lone suffix, or the second half of CR+LF
  lastTaken = performance.now();
  take(text, by);
}

/** Whether so many characters, and the key after them, came faster than fingers are. */
const inOneGo = (length) => lastKey - firstKey < BURST * length;

function onKey(event) {
  if (field.value === "" && event.key.length === 1) firstKey = event.timeStamp;
  lastKey = event.timeStamp;
  ending = event.key === "Enter";
}

function onFieldKey(event) {
  onKey(event);
  const lineFeed = event.ctrlKey && ["j", "m"].includes(event.key.toLowerCase());
  const burst = field.value !== "" && inOneGo(field.value.length);
  const ownTab = event.key === "Tab" && !event.shiftKey && (burst || performance.now() - lastTaken < SUFFIX);
  if (!lineFeed && !ownTab) return;
  ending = true;
  event.preventDefault();
  takeField();
}

const editable = (node) => node?.closest?.("input, select, textarea, [contenteditable=true]");

/** A scan typed while a button has the focus belongs to the field, and its Enter must not press the button. */
function onStrayKey(event) {
  if (editable(event.target) || event.ctrlKey || event.metaKey || event.altKey) return;
  if (event.key.length !== 1 || event.key === " ") return;
  onKey(event);
  field.focus({ preventScroll: true });
}

function onClick(event) {
  const code = event.target.closest("[data-scan]");
  if (code) take(code.dataset.scan, "");
  const other = event.target.closest("a[href], input, select, textarea, label, summary");
  if (other && other !== field) return;
  if (String(getSelection())) return; // a number marked for copying stays marked
  field.focus({ preventScroll: true });
}

/** On a hand-held with a built-in scanner the screen keyboard only hides the verdict: it can be switched off. */
function keyboardSwitch() {
  const button = document.querySelector('[data-part="keyboard"]');
  const set = (shown) => {
    field.inputMode = shown ? "text" : "none";
    button.setAttribute("aria-checked", String(shown));
  };
  set(setting(KEYBOARD) !== "off");
  button.addEventListener("click", () => {
    const shown = field.inputMode === "none";
    set(shown);
    setting(KEYBOARD, shown ? "on" : "off");
  });
}
