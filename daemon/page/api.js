// Questions to the daemon. Every error comes as an Error whose message is for people.

async function answerOf(response) {
  const type = response.headers.get("Content-Type") ?? "";
  const body = type.startsWith("application/json") ? await response.json() : await response.text();
  if (response.ok) return body;
  const error = new Error(body?.error?.text ?? `HTTP ${response.status}`);
  error.status = response.status;
  throw error;
}

export async function get(path) {
  return answerOf(await fetch(path, { cache: "no-store", credentials: "same-origin" }));
}

export async function post(path, body = {}) {
  return answerOf(
    await fetch(path, {
      method: "POST",
      credentials: "same-origin",
      headers: { "Content-Type": "application/json" },
      body: JSON.stringify(body),
    }),
  );
}

/** A view's questions: an answer may come after the one to a later question, and is then old. */
export class Questions {
  begun = 0;

  /** Begins a question; what is handed back tells whether it is still the newest. */
  begin() {
    this.begun += 1;
    const mine = this.begun;
    return () => mine === this.begun;
  }
}

/** The token that came in the address, which is taken out of it at once. */
export async function signInFromAddress() {
  const found = /[#&]token=([A-Za-z0-9_-]+)/.exec(location.hash);
  if (!found) return;
  history.replaceState(null, "", location.pathname);
  await post("/v1/login", { token: found[1] });
}
