/* What happens between the scanner's Enter and the server's verdict?

   THE PAGE gives (templates/pages/_scan.html):
     form[data-part=form]   data-endpoint  where scans are posted (path on this server)
                            data-context   JSON object of the page, sent back with each scan
                            data-station   code of the station, may be empty
                            data-signin    page that signs this terminal in
     #on-duty               data-person    number of the person on duty, empty if nobody
     meta[name=csrf-token]  content        sent as X-CSRF-Token
     script#scan-words      JSON           every sentence and default word shown here
     [data-scan="TEXT"]     any button: a click scans TEXT

   ONE SCAN is POSTed to data-endpoint as JSON, headers X-CSRF-Token, Idempotency-Key (= key) and X-Sent-At (what this
   device's clock says at this try, so that a clock that is wrong still tells how old a kept scan is):
     key      26 of [a-z2-9] from crypto.getRandomValues; the same at every retry
     text     as the scanner typed it, without blanks around it, at most 256 characters
     context  data-context when it was scanned; where scans before it were unanswered then, what they left behind
     at       when it was scanned, this device's clock: "2026-11-25T14:05:12.345+01:00"
     person   data-person when it was scanned; null where nobody was on duty, and null where an unsent badge
              stands before it: the server then takes whoever that badge signed in
     station  data-station or null
     answers  {question id: code of the choice}; {} unless this answers a question
     after    only in an answer: key of the scan that was asked about
     typed_by "scale": all keys at once, as a scale or scanner types; "hand": fingers; "": nobody can tell
   The body of a key never changes. An answer is the asked scan again (text, context, at, person, station, typed_by) with
   `answers` grown by one and a new key.

   THE ANSWER is JSON, any status but those below:
     verdict    accepted | already | refused | held | ask | asked_done (recorded after its question was answered)
     word       one short word, shown >= 100 px (default by verdict); say: one sentence; detail: the rest
     next       what the page expects now; kept as it is where absent
     question   with verdict ask: {id, text, choices: [{code, label, scans}], drop}; codes are no plain numbers;
                scans and drop, which may be absent, are the commands that choose it, or none of them, too
     fragments  {id: html}: each replaces the element with that id, so html's root carries the id again
     context    replaces data-context for scans from now on
     goto       path on this server to go to; the verdict is shown again there
   401, 403, 419 or a redirect: session or permission. The scan stays, sending stops until the next scan, reload or
   "try now"; the page says what to do (problem.detail and problem.next where given). "Nobody on duty" is no 401 but
   a verdict: the badge comes through this very field. 500 is tried 3 times, then put aside; other JSON without a
   verdict is put aside at once; put aside = kept, shown, sent again only on request, others go on. Anything that
   is not JSON, 408, 429, 502-504, a time-out of 15 s: tried again after 1, 2, 4, 8, 16, 30, 30 ... s, in order.
   A secret (PIN) never goes through this field: send the page elsewhere with goto.

   THE STORE: a scan is in IndexedDB before it is posted and leaves it when the server has answered. A scan that was
   asked about stays until answered or dropped, and nothing behind it is sent before. An answer to a kept scan that
   is neither accepted nor already stays, listed, until somebody says "seen". Answers to kept scans follow no goto. */

import { refocus, watchField } from "./field.js";
import { openKept } from "./kept.js";
import { send } from "./send.js";
import { mute, muted, play } from "./sound.js";
import * as show from "./verdict.js";

const SILENCE = 2000; // ms until a silent server is named (Miller 1968, Nielsen: 1 s keeps the thought)
const FAULTS = 3; // tries of a scan the server stumbles over
const SLOWEST = 30_000; // ms between tries
const BADGE = /^H\d{16}$/; // a badge as far as a page needs to know it
const SETTLED = ["accepted", "already", "asked_done"];
const CARRIED = "lotroot-verdict"; // session storage: verdict shown again after goto

const words = JSON.parse(document.getElementById("scan-words").textContent);
const part = (name) => document.querySelector(`[data-part="${name}"]`);
const page = part("form").dataset;
const contexts = new Map([[page.endpoint, JSON.parse(page.context || "{}")]]); // endpoint -> as last answered

let kept;
const records = []; // in order of sending; what the store holds
const silences = new WeakMap(); // record -> timer that names its silence
let storing; // the last write to the store: scans are kept in the order they were made
let sending = false;
let leaving = false; // another page was gone to: it sends the rest, in its own context
let again = false;
let tries = 0; // silences in a row
let retry;
let asking = null; // the record whose question stands on the page
let interrupted = ""; // the next step that the question stands in the way of

/* ---- making a scan ---- */

function newKey() {
  const letters = "abcdefghijkmnpqrstuvwxyz23456789"; // 32, so 5 whole bits each and 130 in all
  return Array.from(crypto.getRandomValues(new Uint8Array(26)), (byte) => letters[byte & 31]).join("");
}

function withOffset(date) {
  const minutes = -date.getTimezoneOffset();
  const two = (number) => String(Math.trunc(Math.abs(number))).padStart(2, "0");
  const local = new Date(date.getTime() + minutes * 60_000).toISOString().slice(0, -1);
  return `${local}${minutes < 0 ? "-" : "+"}${two(minutes / 60)}:${two(minutes % 60)}`;
}

const bare = (text) => text.toUpperCase().replace(/[\s.-]/g, "");

function whoScans() {
  const badgeBefore = records.some((record) => waits(record) && BADGE.test(bare(record.scan.text)));
  return badgeBefore ? null : document.getElementById("on-duty")?.dataset.person || null;
}

function newRecord(text, by) {
  const scan = {
    key: newKey(), text: text.slice(0, 256), context: {}, at: withOffset(new Date()),
    person: null, station: page.station || null, answers: {}, typed_by: by,
  };
  return { endpoint: page.endpoint, state: "unsent", late: false, behind: false, faults: 0, note: "", scan };
}

/** Take one scanned or typed text: echo it at once, keep it, then send it. */
function take(text, by = "") {
  if (asking) return answerText(text);
  const record = newRecord(text, by);
  echo(text);
  storing = storing.then(async () => {
    record.scan.person = whoScans();
    record.scan.context = contexts.get(page.endpoint);
    record.behind = records.some((other) => waits(other) && other.endpoint === record.endpoint);
    await kept.add(record);
    records.push(record);
    watch(record);
    pump();
  });
}

function echo(text) {
  show.paint({ state: "reading", word: words.verdicts.reading, scanned: text });
}

/* ---- sending, one at a time, in order ---- */

const waits = (record) => record.state === "unsent" || record.state === "asked";

async function pump() {
  again = true;
  if (sending) return;
  sending = true;
  clearTimeout(retry);
  try {
    while (again) {
      again = false;
      while (await sendFirst()) list();
    }
  } finally {
    sending = false;
    list();
  }
}

/** Send the first record that waits; true if the next may follow at once. */
async function sendFirst() {
  const record = records.find(waits);
  if (!record || leaving) return false;
  if (record.state === "asked") return ask(record);
  if (record.behind) await catchUp(record);
  const outcome = await send(record, document.querySelector('meta[name="csrf-token"]').content);
  return settle[outcome.kind](record, outcome);
}

/** A pan's scan says nothing without the weight before it: as it is first sent, it takes what that scan left. */
function catchUp(record) {
  record.scan.context = contexts.get(record.endpoint) ?? record.scan.context;
  record.behind = false;
  return kept.put(record);
}

const settle = {
  async answer(record, { answer }) {
    tries = 0;
    clearTimeout(silences.get(record));
    if (answer.context) contexts.set(record.endpoint, answer.context);
    if (record.endpoint === page.endpoint) refresh(answer);
    if (answer.verdict === "ask") return asked(record, answer);
    await forget(record, answer);
    return verdict(answer, record);
  },
  silent(record) {
    clearTimeout(retry);
    retry = setTimeout(pump, Math.min(SLOWEST, 1000 * 2 ** tries));
    tries += 1;
    unsent(record, words.unsent);
    return false;
  },
  barred(record, { status, problem }) {
    const said = words.barred[status];
    const href = status === 419 ? location.href : page.signin;
    const link = { href, label: said.link };
    unsent(record, { say: problem.detail ?? said.say, detail: problem.next ?? said.detail, link }, true);
    return false;
  },
  async fault(record, outcome) {
    record.faults += 1;
    if (record.faults >= FAULTS) return settle.unusable(record, outcome);
    await kept.put(record);
    return settle.silent(record);
  },
  async unusable(record, { problem, status }) {
    const note = problem.detail ?? words.aside.say.replace("{status}", status);
    Object.assign(record, { state: "aside", note });
    await kept.put(record);
    unsent(record, { say: note, detail: problem.next ?? words.aside.detail }, true);
    return true;
  },
};

async function forget(record, answer) {
  if (record.late && !SETTLED.includes(answer.verdict)) {
    Object.assign(record, { state: "answered", answer });
    return kept.put(record);
  }
  return remove(record);
}

function remove(record) {
  records.splice(records.indexOf(record), 1);
  return kept.remove(record);
}

function refresh(answer) {
  show.replaceFragments(answer.fragments);
  show.sayNext(answer.next);
}

/* ---- what the person sees ---- */

const wordOf = (answer) => answer.word || words.verdicts[answer.verdict];

/** Show and sound a verdict; true if the next scan may follow on this page. */
function verdict(answer, record) {
  const { verdict: state, say, detail, goto } = answer;
  const shown = { state, word: wordOf(answer), say, detail, scanned: show.readable(record.scan.text) };
  play(state === "asked_done" ? "accepted" : state);
  show.paint(shown);
  refocus();
  if (record.late || !goto?.startsWith("/") || goto.startsWith("//")) return true;
  carry({ ...shown, at: show.clock() });
  leaving = true;
  location.assign(goto);
  return false;
}

/** Keep a verdict for the page gone to; without a value, take it out again. */
function carry(shown) {
  try {
    const carried = sessionStorage.getItem(CARRIED);
    sessionStorage.removeItem(CARRIED);
    if (shown) sessionStorage.setItem(CARRIED, JSON.stringify(shown));
    return JSON.parse(carried);
  } catch {
    return null; // storage is switched off: the new page starts without the last verdict
  }
}

/** Name a silent server after 2 s, while the scan is still on its way. */
function watch(record) {
  silences.set(record, setTimeout(() => {
    list();
    if (record.state !== "unsent" || record.late || asking) return;
    show.paint({ state: "unsent", word: words.verdicts.waiting, scanned: record.scan.text, ...words.waiting });
  }, SILENCE));
}

/** Say that a scan is kept: once for each scan, or anew where there is something to do about it. */
function unsent(record, said, anew = false) {
  const news = records.filter((other) => other.state === "unsent" && !other.late);
  for (const other of [record, ...news]) {
    clearTimeout(silences.get(other));
    other.late = true;
  }
  if (news.length === 0 && !anew) return;
  const { text } = (news.at(-1) ?? record).scan;
  play("unsent");
  show.paint({ state: "unsent", word: words.verdicts.unsent, scanned: text, ...said });
  refocus();
}

function list() {
  const silent = (record) => record.late || Date.now() - Date.parse(record.scan.at) >= SILENCE;
  const notSent = ({ state }) => state === "unsent" || state === "aside";
  show.paintUnsent(records.filter((record) => notSent(record) && silent(record)), ({ note }) => note || words.kept);
  show.paintLate(records.filter(({ state }) => state === "answered"), wordOf);
}

/* ---- questions ---- */

async function asked(record, { question, word }) {
  Object.assign(record, { state: "asked", question, word, late: false });
  await kept.put(record);
  return true; // the pump comes back to it and asks
}

function ask(record) {
  if (asking === record) return false;
  asking = record;
  const { question, word, scan } = record;
  const shown = { state: "ask", word: word || words.verdicts.ask, say: question.text };
  show.paint({ ...shown, detail: words.ask, scanned: scan.text });
  show.paintChoices(question, words.drop, choose);
  interrupted = part("next").textContent;
  show.sayNext(words.answer);
  play("ask");
  refocus();
  return false;
}

/** The number a text chooses: 0 drops, 1.. chooses, undefined is no answer. */
function numberOf(text, { choices, drop }) {
  const plain = bare(text);
  if (/^\d$/.test(plain)) return Number(plain) <= choices.length ? Number(plain) : undefined;
  if (drop?.includes(plain)) return 0;
  const place = choices.findIndex(({ code, scans }) => bare(code) === plain || scans?.includes(plain));
  return place < 0 ? undefined : place + 1;
}

function answerText(text) {
  const number = numberOf(text, asking.question);
  if (number !== undefined) return choose(number);
  const { say, detail } = words.not_an_answer;
  play("refused");
  show.paint({ state: "refused", word: words.verdicts.refused, scanned: text, say,
    detail: `${asking.question.text} ${detail}` });
}

async function choose(number) {
  const record = asking;
  asking = null;
  show.clearChoices();
  show.sayNext(interrupted);
  if (number === 0) return drop(record);
  const { question, scan } = record;
  const { code, label } = question.choices[number - 1];
  echo(label);
  Object.assign(record, { state: "unsent", question: null });
  record.scan = { ...scan, key: newKey(), answers: { ...scan.answers, [question.id]: code }, after: scan.key };
  await kept.put(record);
  watch(record);
  pump();
}

async function drop(record) {
  show.paint({ state: "none", word: words.verdicts.dropped, scanned: record.scan.text, ...words.dropped });
  await remove(record);
  pump();
}

/* ---- switches and start ---- */

function switches() {
  const sound = part("sound");
  const mark = () => sound.setAttribute("aria-checked", String(!muted()));
  sound.addEventListener("click", () => { mute(!muted()); mark(); });
  part("try").addEventListener("click", tryNow);
  part("seen").addEventListener("click", seen);
  mark();
}

async function tryNow() {
  for (const record of records.filter(({ state }) => state === "aside")) {
    Object.assign(record, { state: "unsent", late: true, faults: 0, note: "" });
    await kept.put(record);
  }
  pump();
}

async function seen() {
  for (const record of records.filter(({ state }) => state === "answered")) await remove(record);
  list();
}

async function start() {
  kept = await openKept();
  for (const record of await kept.all()) records.push({ ...record, late: record.state !== "asked" });
  part("memory").hidden = kept.lasting;
}

storing = start();
const early = window.earlyScans();
watchField(take);
early.forEach((text) => take(text));
switches();
const carried = carry();
if (carried) show.paint(carried);
else show.fitWord();
window.addEventListener("resize", show.fitWord);
window.addEventListener("online", pump);
storing.then(pump);
