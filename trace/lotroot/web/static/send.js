/* What came of sending one scan?

   Exactly one of
     {kind: "answer",   answer}           the server gave a verdict
     {kind: "silent"}                     nothing of ours answered: no network, time-out, a proxy's page, 408, 429, 502-504
     {kind: "barred",   status, problem}  401, 403 or 419, or sent to a sign-in page: session or permission failed
     {kind: "fault",    status, problem}  500: the server's own fault
     {kind: "unusable", status, problem}  any other JSON without a verdict, and a question without choices
   An answer of ours is JSON; anything else on the way (captive portal, proxy) is not the server and settles nothing. */

export const VERDICTS = ["accepted", "already", "refused", "held", "ask", "asked_done"];

const GIVE_UP = 15_000; // ms; the same key is sent again, so an answer lost on the way does no harm
const BARRED = [401, 403, 419];
const COME_AGAIN = [408, 429, 502, 503, 504];

/** Post one kept record; never rejects. */
export async function send(record, token) {
  const cut = new AbortController();
  const timer = setTimeout(() => cut.abort(), GIVE_UP);
  try {
    const response = await fetch(record.endpoint, {
      method: "POST",
      credentials: "same-origin",
      redirect: "manual",
      cache: "no-store",
      signal: cut.signal,
      headers: {
        "Content-Type": "application/json",
        Accept: "application/json",
        "X-CSRF-Token": token,
        "Idempotency-Key": record.scan.key,
        "X-Sent-At": new Date().toISOString(),
      },
      body: JSON.stringify(record.scan),
    });
    return outcome(response.type === "opaqueredirect" ? 401 : response.status, await read(response));
  } catch {
    return { kind: "silent" };
  } finally {
    clearTimeout(timer);
  }
}

async function read(response) {
  try {
    return await response.json();
  } catch (error) {
    if (error instanceof SyntaxError) return null; // not JSON, so not ours
    throw error; // the connection broke while the answer came
  }
}

// A question nobody can answer would stop everything behind it.
const asksWell = (question) => question?.id && Array.isArray(question.choices) && question.choices.length > 0;

function outcome(status, body) {
  if (BARRED.includes(status)) return { kind: "barred", status, problem: body ?? {} };
  if (body === null || COME_AGAIN.includes(status)) return { kind: "silent" };
  if (VERDICTS.includes(body.verdict) && (body.verdict !== "ask" || asksWell(body.question))) return { kind: "answer", answer: body };
  return { kind: status === 500 ? "fault" : "unusable", status, problem: body };
}
