/* Does a printer's trouble reach whoever stands at the station, also while nobody scans?

   Asks every few seconds for the part of the page that says which labels have not come out, and puts it in where
   it has changed. Rendered by our own server; no answer changes nothing. */

import { replaceFragments } from "./verdict.js";

const EVERY = 4000; // ms: a printer that stops is seen before the next roll is wound

async function look() {
  const here = document.getElementById("labels-waiting");
  if (!here || document.hidden || here.contains(document.activeElement)) return;
  try {
    const answer = await fetch("/labels-waiting", { headers: { Accept: "text/html" }, redirect: "error" });
    const html = answer.ok ? await answer.text() : "";
    if (html && html.trim() !== here.outerHTML.trim()) replaceFragments({ "labels-waiting": html });
  } catch {
    // The network is away: scans say so where they are sent from.
  }
}

setInterval(look, EVERY);
