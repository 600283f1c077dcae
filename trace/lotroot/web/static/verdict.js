/* How is a verdict, a question or the list of unsent scans put on the page?

   Only paints: what it shows is decided in scan.js, every sentence comes from the server (words and answers). All
   text goes in by textContent; html comes in by `replaceFragments` alone, rendered by our own server. */

const BASE = 100; // px the verdict word is measured at
const LARGEST = 168; // px: fills a 1280 px panel without pushing the next step off an 800 px screen
const SMALLEST = 48;

const part = (name) => document.querySelector(`[data-part="${name}"]`);

// A number in a sentence (R26-000123-83, an item's R26-000123-83-0017-20) is read as one piece.
const NUMBERS = /([A-Z]\d{2}-\d{6}-\d{2}(?:-\d{4}-\d{2})?)/;

function element(tag, className, text) {
  const made = document.createElement(tag);
  if (className) made.className = className;
  const pieces = (text ?? "").split(NUMBERS).filter(Boolean);
  made.append(...pieces.map((piece) => (NUMBERS.test(piece) && tag !== "span" ? element("span", "whole", piece) : piece)));
  return made;
}

function shape(name) {
  const space = "http://www.w3.org/2000/svg";
  const drawing = document.createElementNS(space, "svg");
  drawing.setAttribute("class", "shape");
  drawing.setAttribute("aria-hidden", "true");
  drawing.append(document.createElementNS(space, "use"));
  drawing.firstChild.setAttribute("href", `#shape-${name}`);
  return drawing;
}

/** "14:05:12" by the clock of this device. */
export function clock(date = new Date()) {
  return date.toTimeString().slice(0, 8);
}

/** A scanned text as it may be shown: whoever reads a badge's number off the screen could sign in with it. */
export function readable(text) {
  return /^H[\s.-]*\d[\d\s.-]{12,}$/i.test(text) ? "Badge" : text;
}

/** Show one verdict. `shown` is {state, word, say, detail, scanned, at, link: {href, label}}; all but state optional. */
export function paint(shown) {
  part("scan").dataset.verdict = shown.state;
  part("shape").replaceChildren(shape(shown.state));
  part("scanned").textContent = readable(shown.scanned ?? "");
  part("at").textContent = shown.at ?? clock();
  // Both regions stand in the page from the start; the one not used is emptied.
  const loud = shown.state === "refused";
  part(loud ? "status" : "alert").replaceChildren();
  part(loud ? "alert" : "status").replaceChildren(...sentences(shown));
  document.querySelector("[data-part=done]")?.remove(); // what a form recorded before: the verdict is newer
  fitWord();
  part("verdict").scrollIntoView({ block: "nearest" });
}

function sentences({ word, say, detail, link }) {
  const lines = [element("p", "verdict-word", word)];
  if (say) lines.push(element("p", "verdict-say", say));
  if (detail) lines.push(element("p", "verdict-detail", detail));
  if (link) {
    const anchor = element("a", "button big", link.label);
    anchor.href = link.href;
    lines.push(anchor);
  }
  return lines;
}

/** Make the word as large as its line allows: at least 100 px on a panel, and on a hand-held where it is short.
 *  A page may bound it by --word-most, in px, to keep other things on the screen. */
export function fitWord() {
  const word = document.querySelector(".verdict-word");
  if (!word) return;
  const room = word.parentElement.clientWidth;
  const sizeFor = (wrapped) => {
    word.classList.toggle("is-stacked", wrapped);
    word.style.fontSize = `${BASE}px`;
    return (BASE * room) / Math.max(word.scrollWidth, word.getBoundingClientRect().width);
  };
  word.classList.add("is-measured");
  let size = sizeFor(false);
  if (size < BASE && word.textContent.includes(" ")) size = sizeFor(true);
  word.classList.remove("is-measured");
  const largest = Number.parseFloat(getComputedStyle(word).getPropertyValue("--word-most")) || LARGEST;
  word.style.fontSize = `${Math.floor(Math.min(largest, Math.max(SMALLEST, size * 0.99)))}px`;
}

export function sayNext(text) {
  if (text !== undefined && text !== null) part("next").textContent = text;
}

/** Show a question's choices as numbered buttons; `choose(index)` is called with 0 for the drop. */
export function paintChoices(question, dropLabel, choose) {
  const labels = [...question.choices.map((choice) => choice.label), dropLabel];
  const buttons = labels.map((label, place) => {
    const number = place === question.choices.length ? 0 : place + 1;
    const button = element("button", number === 0 ? "big choice choice-drop" : "big choice");
    button.type = "button";
    button.append(element("kbd", "", String(number)), element("span", "", label));
    button.addEventListener("click", () => choose(number));
    return button;
  });
  part("choices").replaceChildren(...buttons);
  part("choices").hidden = false;
  part("choices").scrollIntoView({ block: "nearest" });
}

export function clearChoices() {
  part("choices").replaceChildren();
  part("choices").hidden = true;
}

function row(record, note) {
  const item = element("li");
  const head = element("p", "kept-head");
  head.append(element("span", "lot", readable(record.scan.text)), element("time", "", clock(new Date(record.scan.at))));
  item.append(head, element("p", "kept-note", note));
  return item;
}

/** Show what is not sent. `notes` maps each record to its line of state. */
export function paintUnsent(records, notes) {
  part("unsent").hidden = records.length === 0;
  part("unsent-count").textContent = String(records.length);
  part("unsent-list").replaceChildren(...records.map((record) => row(record, notes(record))));
}

/** Show the answers to kept scans that somebody must read. */
export function paintLate(records, wordOf) {
  part("late").hidden = records.length === 0;
  part("late-list").replaceChildren(...records.map((record) => {
    const { verdict, say, detail } = record.answer;
    const item = row(record, [say, detail].filter(Boolean).join(" "));
    const tag = element("strong", "tag");
    tag.append(shape(verdict), element("span", "", wordOf(record.answer)));
    item.firstChild.prepend(tag);
    return item;
  }));
}

/** Replace parts of the page by id with html our own server rendered. */
export function replaceFragments(fragments) {
  for (const [id, html] of Object.entries(fragments ?? {})) {
    const old = document.getElementById(id);
    if (old) old.outerHTML = html;
  }
}
