// What was typed waits in this browser until the server has it: each act with its own UUID, in its order, once.
//
// An act is written to the disk of the tablet before anything is sent, and struck out when the server answers for it.
// What the server refuses stays, with its sentence, until the person strikes it out. Of several tabs one sends.

const NAME = "assaywright", VERSION = 2, KEEP = "/bench/keep", TOKEN = "/bench/token";
const MOST_AT_ONCE = 50, AGAIN_MS = 1_000, PATIENCE_MS = 15_000;

let opened = null;

function database() {
  opened ??= new Promise((done, fail) => {
    const asked = indexedDB.open(NAME, VERSION);
    asked.onupgradeneeded = () => {
      const there = asked.result.objectStoreNames;
      if (!there.contains("acts")) asked.result.createObjectStore("acts", { keyPath: "sequence", autoIncrement: true });
      for (const store of ["drafts", "taken"]) if (!there.contains(store)) asked.result.createObjectStore(store);
    };
    asked.onsuccess = () => {
      asked.result.onversionchange = () => { asked.result.close(); opened = null; };
      done(asked.result);
    };
    asked.onerror = () => { opened = null; fail(asked.error); };
  });
  return opened;
}

async function within(store, mode, work) {
  const base = await database();
  return new Promise((done, fail) => {
    const transaction = base.transaction(store, mode, { durability: "strict" });
    const request = work(transaction.objectStore(store));
    transaction.oncomplete = () => done(request.result);
    transaction.onerror = transaction.onabort = () => fail(transaction.error);
  });
}

export const waiting = () => within("acts", "readonly", (store) => store.getAll());
export const strike = (sequence) => within("acts", "readwrite", (store) => store.delete(sequence));
const rewrite = (act) => within("acts", "readwrite", (store) => store.put(act));

export async function add(act) {
  const whole = { ...act, uuid: crypto.randomUUID(), typed_at: new Date().toISOString(), refused: "" };
  await within("acts", "readwrite", (store) => store.add(whole));
}

// A field that is being typed, before it is left: so that a reload does not lose half a figure.
const key = (worksheet, place, name) => `${worksheet}|${place}|${name}`;
export const draft = (worksheet, place, name, by, text) =>
  within("drafts", "readwrite", (store) => store.put({ worksheet, place, name, by, text }, key(worksheet, place, name)));
export const forget = (worksheet, place, name) =>
  within("drafts", "readwrite", (store) => store.delete(key(worksheet, place, name)));
export const drafts = () => within("drafts", "readonly", (store) => store.getAll());

// What the server has taken, until a page comes from it that shows it: a page opened without the server is an older one.
export const takenOf = async (worksheet) => (await within("taken", "readonly", (store) => store.getAll()))
  .filter((one) => one.identity === worksheet).sort((one, other) => one.version - other.version);
const taken = (act) => `${key(act.identity, act.place ?? 0, act.name ?? "")}|${act.kind}`;
export const shownByServer = (act) => within("taken", "readwrite", (store) => store.delete(taken(act)));
export const forgetTaken = () => within("taken", "readwrite", (store) => store.clear());

async function acknowledge(act, version) {
  const base = await database();
  return new Promise((done, fail) => {
    const transaction = base.transaction(["acts", "taken"], "readwrite", { durability: "strict" });
    transaction.objectStore("acts").delete(act.sequence);
    transaction.objectStore("taken").put({ ...act, version }, taken(act));
    transaction.oncomplete = done;
    transaction.onerror = transaction.onabort = () => fail(transaction.error);
  });
}

export function token() {
  const found = document.cookie.split("; ").find((one) => one.startsWith("csrftoken="));
  return found ? found.slice("csrftoken=".length) : "";
}

async function posted(address, content, patience_ms) {
  return fetch(address, {
    method: "POST", body: JSON.stringify(content), credentials: "same-origin", redirect: "error",
    headers: { "Content-Type": "application/json", "Accept": "application/json", "X-CSRFToken": token() },
    signal: AbortSignal.timeout(patience_ms),
  });
}

// Asks the server; where the token of this browser has gone or is an old one, it is fetched first. Whoever is signed out
// has none to fetch: the answer is then that of the door, 401, and never a failure to reach the server.
export async function post(address, content, patience_ms = PATIENCE_MS) {
  const answer = await posted(address, content, patience_ms);
  if (answer.status !== 403) return answer;
  const fetched = await fetch(TOKEN, {
    credentials: "same-origin", redirect: "error", headers: { "Accept": "application/json" },
    signal: AbortSignal.timeout(patience_ms),
  });
  return fetched.ok ? posted(address, content, patience_ms) : fetched;
}

// Sends whatever waits. `tell(state, count, who)` hears where it stands: "kept", "waiting", "signed out", "another person"
// (what waits is somebody else's), "another session" (`who` is signed in here now); `heard(act, answer)` hears each answer.
export class Outbox {
  constructor(person, tell, heard) {
    Object.assign(this, { person, tell, heard, running: null, again: false, timer: 0 });
  }

  pump() {
    clearTimeout(this.timer);
    if (this.running) {
      this.again = true;
      return this.running;
    }
    this.running = navigator.locks.request("assaywright-outbox", () => this.send())
      .catch(() => this.later("waiting"))
      .finally(() => {
        this.running = null;
        if (this.again) {
          this.again = false;
          this.pump();
        }
      });
    return this.running;
  }

  async later(state, who = "") {
    this.again = false;
    const acts = await waiting().catch(() => []);
    this.tell(state, acts.filter((one) => !one.refused).length, who);
    this.timer = setTimeout(() => this.pump(), AGAIN_MS);
  }

  async send() {
    for (;;) {
      const all = await waiting(), behind = (act) => all.some(
        (one) => one.refused && one.identity === act.identity && one.by === act.by);
      const open = all.filter((one) => !one.refused);
      for (const one of open.filter((act) => act.kind === "send" && behind(act))) {
        await this.answered(one, { state: "refused", sentence: "Something before it was not taken; mend that, and send again." });
        open.splice(open.indexOf(one), 1);
      }
      const mine = open.filter((one) => one.by === this.person).slice(0, MOST_AT_ONCE);
      if (mine.length === 0) {
        if (this.again) { // something was added since these were looked up
          this.again = false;
          continue;
        }
        return this.tell(open.length ? "another person" : "kept", open.length);
      }
      this.tell("sending", open.length);
      const answer = await this.asked(mine);
      if (!answer) return undefined;
      for (const [number, one] of answer.answers.entries()) await this.answered(mine[number], one);
      const other = answer.answers.find((one) => one.state === "another person");
      if (other) return this.later("another session", other.person);
    }
  }

  async asked(acts) {
    let answer;
    try {
      answer = await post(KEEP, { acts });
    } catch {
      await this.later("waiting");
      return null;
    }
    if (answer.ok) return answer.json();
    await this.later(answer.status === 401 || answer.status === 403 ? "signed out" : "waiting");
    return null;
  }

  async answered(act, answer) {
    if (answer.state === "kept") await acknowledge(act, answer.version);
    else if (answer.state === "refused") await rewrite({ ...act, refused: answer.sentence });
    this.heard(act, answer);
  }
}
