// The bench page: every field kept the moment it is left, the result live, odd readings asked about, nothing lost.

import {
  Outbox, add, draft, drafts, forget, forgetTaken, post, shownByServer, strike, takenOf, waiting,
} from "./outbox.js";
import { titre } from "./titre.js";

const bench = document.getElementById("bench");
const worksheet = bench.dataset.worksheet, person = bench.dataset.person;
const places = document.getElementById("places"), live = document.getElementById("live");
const spoken = document.getElementById("said"), note = document.getElementById("outbox");
const LIVE_AFTER_MS = 300, LIVE_PATIENCE_MS = 4_000, MASSES = ["gross", "tare", "net"];
const isOpen = () => "open" in bench.dataset;

const sectionOf = (element) => element.closest(".place");
const sectionAt = (place) => places.querySelector(`.place[data-place="${place}"]`);
const numberOf = (section) => Number(section.dataset.place);
const isFinished = (section) => section.classList.contains("finished");
const inputsOf = (section) => [...section.querySelectorAll("input[name]")];
const inputAt = (place, name) => sectionAt(place)?.querySelector(`input[name="${CSS.escape(name)}"]`);
const shown = (input) => !input.closest("[hidden]");
const textsOf = (section) => Object.fromEntries(
  inputsOf(section).filter((one) => one.value.trim()).map((one) => [one.name, one.value.trim()]));
const named_ = (place) => (place ? `Determination ${place}` : "The blank");
const short = (text) => (text.length > 60 ? `${text.slice(0, 60)}…` : text);
const say = (text) => { spoken.textContent = text; };
const about = (more) => ({ identity: worksheet, by: person, by_name: bench.dataset.personName, ...more });

// Typed in afterwards, from the printed sheet: said with each act, with who wrote it there.
const paper = document.getElementById("from-paper"), titrant = document.getElementById("titrated-by");
const titratedOn = document.getElementById("titrated-on");
const origin = () => (paper?.checked
  ? { from_paper: true, titrated_by: titrant.value, titrated_on: titratedOn.value } : {});
const PAPER = `assaywright-paper|${worksheet}|${person}`; // the tick outlives a reload, with the person and the day

function paperChanged() {
  titrant.closest("span").hidden = !paper.checked;
  // What was written on another day is never taken as of today: the fields wait until the day is filled in.
  const day = titratedOn.value, hasNotCome = day > lastDay();
  const waits = paper.checked && (day < "1990" || hasNotCome); // a year half typed is no day yet
  document.getElementById("places").inert = waits;
  const ticked = document.getElementById("ticked");
  ticked.disabled = waits || ticked.checked;
  const first = document.getElementById("day-first");
  first.hidden = !waits;
  first.textContent = `${hasNotCome ? `${day} has not come. ` : ""}Enter the day from the sheet: the readings wait for it.`;
  if (paper.checked) unpropose();
  blankOfWhom(paper.checked && !waits);
  const after = paper.checked && !waits ? JSON.parse(titratedOn.dataset.earliest).filter(([one]) => day < one) : [];
  const line = document.getElementById("paper-day");
  line.hidden = !after.length;
  const made = after.map(([one, what]) => `${what} on ${one}`).join(", ").replace(/, (?=[^,]*$)/, " and ");
  line.textContent = made ? `Was it titrated on ${day}? ${made.charAt(0).toUpperCase()}${made.slice(1)}.` : "";
}

// Of the blank, too, it is said by the line at the top, as it stands while its readings are typed.
function blankOfWhom(isSaid) {
  const line = document.getElementById("blank-of");
  if (!line) return;
  line.hidden = !isSaid || isFinished(sectionOf(line));
  line.firstElementChild.textContent = `${titrant.selectedOptions[0]?.textContent} on ${titratedOn.value}`;
}

// Today, by the server when it sent the page or by the tablet, whichever is later: a page may lie open past midnight.
function lastDay() {
  const now = new Date(), two = (number) => String(number).padStart(2, "0");
  const here = `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
  return here > titratedOn.max ? here : titratedOn.max;
}

// Nothing is proposed from paper: it would stand as if it had been on the sheet.
function unpropose() {
  for (const one of document.querySelectorAll("#places input")) {
    if (!one.dataset.carried || one.dataset.carried !== one.value || one.dataset.kept === one.value) continue;
    one.value = "";
    delete one.dataset.carried;
    stand(one, "");
  }
}

function rememberPaper({ target } = {}) {
  paperChanged();
  if (paper.checked && !document.getElementById("day-first").hidden) titratedOn.focus();
  if (target === titrant) document.getElementById("ticked-by").value = titrant.value;
  if (target === paper && !paper.checked) {
    for (const one of document.querySelectorAll("#places .place:not(.finished):not(.blank)")) propose(one);
  }
  const [told_] = ["paper-day", "day-first"].map((id) => document.getElementById(id)).filter((one) => !one.hidden);
  const taken = paper.checked ? `Typed from paper of ${titratedOn.value}, titrated by ${titrant.selectedOptions[0]?.textContent}.` : "";
  news = `${told_ ? told_.textContent : taken} `;
  say(news);
  look(Number(live.dataset.place)); // whether a solution was in date goes by the day of the sheet
  const told = { by: titrant.value, on: titratedOn.value };
  try {
    if (paper.checked) localStorage.setItem(PAPER, JSON.stringify(told));
    else localStorage.removeItem(PAPER);
  } catch { /* a browser without a store forgets the tick, and the page shows it unticked */ }
}

function recallPaper() {
  let told = null;
  try {
    told = JSON.parse(localStorage.getItem(PAPER));
  } catch { /* as above */ }
  paper.checked = Boolean(told);
  if (told) {
    titratedOn.value = told.on;
    if ([...titrant.options].some((one) => one.value === told.by)) titrant.value = told.by;
  }
  paperChanged();
}

if (paper) {
  recallPaper();
  for (const one of [paper, titrant, titratedOn]) one.addEventListener("change", rememberPaper);
}

// --- the outbox ------------------------------------------------------------------------------------------------------

const STANDS = {
  "kept": () => "Everything typed is kept.",
  "sending": (count) => `Keeping ${count} ${count === 1 ? "entry" : "entries"} …`,
  "waiting": (count) => `Not yet kept: ${count} ${count === 1 ? "entry waits" : "entries wait"} in this browser. `
    + "The server does not answer; go on, they are sent when it does.",
  "signed out": (count) => `${count ? `Not yet kept: ${count} ${count === 1 ? "entry waits" : "entries wait"} in this `
    + "browser. " : ""}Your session has ended: `,
  "another session": (count, who) => `${who} has signed in in this browser, and this page is yours. `
    + `${count ? `Not yet kept: ${count} ${count === 1 ? "entry waits" : "entries wait"} here, and nothing goes out under `
    + "another name" : "Nothing that you type here goes out under another name"}; `,
  "another person": (count) => `${count} ${count === 1 ? "entry" : "entries"} typed by somebody else `
    + "wait in this browser until that person signs in here.",
  "no room": () => "Not kept: this browser has no room left, or may not keep anything. Write the readings down, "
    + "and free some room or use another browser.",
};

let adding = 0; // acts on their way to the disk of the tablet, of which the outbox does not know yet

function tell(state, count, who = "") {
  if (state === "kept" && adding) return;
  bench.dataset.outbox = state;
  if (state === "kept" && blind) look(Number(live.dataset.place));
  note.replaceChildren(STANDS[state](count, who));
  const well = state === "kept" || state === "sending";
  note.className = well ? "note" : "remark";
  note.setAttribute("aria-live", well ? "off" : "polite"); // what goes well need not be read out at every field
  const way = document.createElement("a");
  way.href = `/sign-in?next=${encodeURIComponent(location.pathname)}`;
  if (state === "signed out") way.textContent = "sign in again; nothing is lost.";
  if (state === "another session") way.textContent = "sign in again yourself, or leave this page to them.";
  if (way.textContent) note.append(way);
}

const HEARD = {
  keep(act, answer) {
    const input = inputAt(act.place, act.name);
    if (!input) return;
    if (answer.on_record) {
      forget(worksheet, act.place, act.name);
      showRecord(act.place, answer);
      if ((answer.on_record[act.name] ?? "") !== act.text) tooLate(input, act.text, answer.on_record[act.name] ?? "");
      return;
    }
    input.dataset.version = String(Math.max(Number(input.dataset.version), answer.version));
    if (input.value.trim() === act.text) {
      forget(worksheet, act.place, act.name);
      stand(input, "kept");
    }
    if (answer.late) {
      contest(input, { mine: act.text, other: answer.other,
        words: `${answer.other_by} typed ${answer.other} here after you had typed ${act.text || "nothing"}; theirs stands so far, `
          + "and both are on record." });
    } else if (answer.yields && input.value.trim() === act.text) {
      input.value = input.dataset.kept = answer.other;
      stand(input, `kept, ${answer.other_by}`);
    } else if (answer.other && !typedHere.get(input)?.has(answer.other)) disagree(input, answer);
  },
  finish(act, answer) {
    const section = sectionAt(act.place);
    if (section) record(section, answer.version);
    news = `${named_(act.place)} is on record. ${
      act.place >= Number(bench.dataset.planned) ? "Control Enter sends to review. " : ""}`;
    look(numberOf(sectionOf(document.activeElement) ?? section));
  },
  correct(act, answer) {
    const section = sectionAt(act.place), input = inputAt(act.place, act.name);
    section.dataset.version = String(answer.version);
    for (const one of inputsOf(section)) one.dataset.version = String(answer.version);
    if (input) stand(input, "corrected, on record");
    if (input && act.place) toldCorrection(input, act);
    for (const one of section.querySelectorAll(`[data-confirmed="${CSS.escape(act.name)}"]`)) ofWhat(one, act.text);
    for (const one of act.asked ?? []) confirmedBeside(section, act, one);
    look(numberOf(sectionOf(document.activeElement) ?? section));
  },
  check() {
    document.getElementById("checked").textContent = "Gone through just now, and on record.";
    document.getElementById("check").textContent = "Go through them again";
  },
  confirm(act) {
    if (sectionAt(act.place)) confirmedBeside(sectionAt(act.place), act, act.question);
  },
  send() {
    delete bench.dataset.open;
    document.getElementById("stage").textContent = "in review";
    document.getElementById("send").closest("p").hidden = true;
    for (const one of places.querySelectorAll("input")) one.readOnly = true;
    for (const one of places.querySelectorAll("button")) one.hidden = true;
    say("Sent to review.");
  },
};

// Beside the field: what it was, and what it was corrected to and why, each in its turn.
function toldCorrection(input, act) {
  const field = input.closest("[data-field]");
  let line = field.querySelector(".corrections");
  if (!line) {
    line = document.createElement("span");
    line.className = "corrections hint";
    line.textContent = act.was || "nothing";
    field.append(line);
  }
  line.append(`, then ${act.text || "nothing"} (${act.reason})`);
}

// What was answered stands beside its determination, as it does when the page is opened again.
function confirmedBeside(section, { name, text }, question) {
  const there = [...section.querySelectorAll("[data-confirmed]")];
  if (there.some((one) => one.dataset.confirmed === name && one.dataset.text === text && one.textContent.includes(question))) return;
  const line = document.createElement("p"), of = document.createElement("span"), words = document.createElement("span");
  line.className = "note";
  Object.assign(line.dataset, { confirmed: name, text });
  of.className = "of";
  words.className = "question-words";
  words.textContent = question;
  line.append(of, " ", words);
  (there.at(-1) ?? section.querySelector(".pairs")).after(line);
  ofWhat(line, inputAt(numberOf(section), name)?.value.trim() ?? text);
}

// A confirmed question: of the reading that stands, or of one that stands no longer.
function ofWhat(one, text) {
  const stands = one.dataset.text === text.replace(",", "."), words = one.querySelector("s, .question-words");
  one.querySelector(".of").textContent = stands ? "Confirmed:"
    : `Confirmed of ${one.dataset.text || "nothing"}, which stands no longer:`;
  const again = document.createElement(stands ? "span" : "s");
  again.className = "question-words";
  again.textContent = words.textContent;
  words.replaceWith(again);
}

function heard(act, answer) {
  if (act.identity !== worksheet) return;
  if (answer.state === "kept") {
    HEARD[act.kind]?.(act, answer);
    mended(act, answer);
  }
  if (answer.state === "refused") {
    const input = act.name && inputAt(act.place, act.name);
    if (input) stand(input, "not taken");
    if (act.kind === "correct" && input) takeBack(act, input, answer.on_record?.[act.name] ?? act.was ?? "");
    if (act.kind === "confirm") answered.delete(asking({ dataset: act }, act.place));
    if (act.kind === "finish" && sectionAt(act.place)) refusedFinish(act, answer);
    if (act.kind === "send" && document.getElementById("send")) document.getElementById("send").textContent = "Send to review";
    const told = `${act.text ? `Not taken: ${short(act.text)}. ` : ""}${answer.sentence}`;
    say(told);
    listRefused();
    for (const place of answer.left ?? []) askLeft(place ? placed(place, "final").closest(".place") : sectionAt(0));
    if (act.kind === "correct" && Number(live.dataset.place) === act.place) {
      news = `${told} `;
      look(act.place); // what stood beside the refused figure goes with it
    }
  }
}

// What was not taken goes by itself once a later text of the same field was, or its determination is on record.
async function mended(act, answer) {
  if (answer.yields || answer.on_record || !document.getElementById("refused").children.length) return;
  const kinds = { keep: ["keep", "correct"], correct: ["keep", "correct"], finish: ["finish"] }[act.kind] ?? [];
  const gone = (await waiting()).filter((old) => old.refused && old.by === act.by && old.identity === worksheet
    && old.place === act.place && kinds.includes(old.kind) && (act.kind === "finish" || old.name === act.name)
    && old.sequence < act.sequence);
  for (const one of gone) await strike(one.sequence);
  if (gone.length) listRefused();
}

// A correction that was not taken: the figure on record stands in its field again, the refused one in the sentence.
function takeBack(act, input, figure) {
  if (input.value.trim() === act.text) input.value = figure;
  if (input.dataset.kept === act.text) input.dataset.kept = figure;
  stand(input, input.value.trim() === input.dataset.kept ? "on record" : "typing");
}

function refusedFinish(act, answer) {
  const section = sectionAt(act.place);
  if (answer.on_record) return showRecord(act.place, answer);
  reopen(section);
  for (const one of answer.differs ?? []) differ(act.place, one);
  const here = document.activeElement, proposed = !here?.value || here.value === here.dataset.carried;
  // What is typed elsewhere goes on; the sentence stands beside the readings.
  if (!proposed && sectionOf(here) !== section && here.value !== here.dataset.kept) return undefined;
  if (proposed) inputAt(act.place, "final")?.focus();
  return look(act.place).then((last) => answer.asked && last && ask(section));
}

// A determination that is on record already, as others have made it: the figures there stand in its fields.
function showRecord(place, answer) {
  const section = sectionAt(place);
  for (const [name, text] of Object.entries(answer.on_record)) {
    const input = placed(place, name);
    if (!input) continue;
    input.value = input.dataset.kept = text;
    input.dataset.version = String(answer.on_record_version);
    stand(input, "on record");
  }
  record(section, answer.on_record_version);
}

function tooLate(input, mine, theirs) {
  const line = document.createElement("p");
  line.className = "remark";
  const which = numberOf(sectionOf(input)) ? "determination" : "blank";
  line.textContent = `${input.labels[0].textContent}: the ${which} was on record already, with ${theirs || "nothing"} `
    + `there. Yours, ${mine || "nothing"}, is kept beside it and is not in it; if it is right, type it over the other with `
    + "the reason.";
  sectionOf(input).querySelector(".pairs").after(line);
  say(line.textContent);
}

const outbox = new Outbox(person, tell, heard);

async function act(kind, more = {}) {
  adding += 1;
  if (bench.dataset.outbox === "kept") tell("sending", 1);
  try {
    await add(about({ kind, ...origin(), ...more }));
    outbox.pump();
  } catch {
    tell("no room", 0);
    return false;
  } finally {
    adding -= 1;
  }
  return true;
}

// Whose a refused entry is, where it is somebody else's, and that it stood on paper.
function typedFrom(one) {
  const said = [one.by === person ? "" : `typed by ${one.by_name || one.by}`, one.from_paper ? `from paper of ${one.titrated_on}` : ""];
  return said.some(Boolean) ? ` (${said.filter(Boolean).join(", ")})` : "";
}

async function listRefused() {
  const list = document.getElementById("refused");
  const refused = (await waiting()).filter((one) => one.refused && one.identity === worksheet);
  list.replaceChildren(...refused.map((one) => {
    const item = document.createElement("li");
    item.className = "sentence";
    const words = "place" in one ? `${named_(one.place)}${one.name ? `, ${one.name.replace("_", " ")}` : ""}: ` : "";
    const told = one.refused.toLowerCase().startsWith(named_(one.place).toLowerCase()) ? one.refused : `${words}${one.refused}`;
    item.textContent = `Not taken${one.text ? `: ${short(one.text)}` : ""}${typedFrom(one)}. `
      + `${told.charAt(0).toUpperCase()}${told.slice(1)} `;
    if (one.by === person) item.append(pressed("Strike out", () => strike(one.sequence).then(listRefused)));
    else item.append("It stays until whoever typed it strikes it out, signed in here.");
    return item;
  }));
}

// Texts that this page itself has sent for a field: they are no disagreement with anybody.
const typedHere = new WeakMap();

// --- a field ---------------------------------------------------------------------------------------------------------

function stand(input, words) {
  const field = input.closest("[data-field]");
  field.querySelector(".kept").textContent = words;
  field.classList.toggle("waiting", words.startsWith("not "));
}

async function keep(input, { again = false } = {}) {
  const text = input.value.trim(), section = sectionOf(input);
  if (text === input.dataset.kept) input.closest("[data-field]").querySelector(".why")?.remove();
  if (input.readOnly || (text === input.dataset.kept && !again)) return;
  if (isFinished(section)) {
    askWhy(input);
    return;
  }
  const carried = "carried" in input.dataset && input.dataset.carried === text;
  const before = input.dataset.kept;
  input.dataset.kept = text;
  stand(input, "not yet kept");
  typedHere.set(input, (typedHere.get(input) ?? new Set()).add(text));
  const seen = Number(input.dataset.version);
  if (!await act("keep", { place: numberOf(section), name: input.name, text, seen, carried })) {
    input.dataset.kept = before;
    stand(input, "not kept");
  }
}

// Somebody else has typed something other here meanwhile: both are on record; which stands is said by typing.
function disagree(input, answer) {
  const field = input.closest("[data-field]"), line = document.createElement("span"), take = document.createElement("button");
  field.querySelector(".other")?.remove();
  line.className = "other remark";
  line.textContent = `${answer.other_by} typed ${answer.other} here meanwhile; both are on record, and yours stands. `;
  take.type = "button";
  take.className = "quiet";
  take.textContent = `Take ${answer.other}`;
  take.addEventListener("click", async () => {
    input.value = answer.other;
    line.remove();
    await keep(input);
    input.focus();
  });
  line.append(take);
  field.append(line);
  say(line.textContent);
}

// Two people typed one reading, and the earlier one came in later: which stands is said before it goes on record.
function contest(input, { mine, other, words }) {
  const field = input.closest("[data-field]"), line = document.createElement("span");
  field.querySelector(".other")?.remove();
  line.className = "other remark";
  line.textContent = `${words} Which stands? `;
  for (const [word, text] of [["Take", mine], ["Keep", other]]) {
    line.append(pressed(`${word} ${text || "it empty"}`, async () => {
      input.value = text;
      line.remove();
      await keep(input, { again: true });
      input.focus();
    }));
  }
  input.value = input.dataset.kept = other;
  forget(worksheet, numberOf(sectionOf(input)), input.name);
  stand(input, "kept");
  field.append(line);
  say(line.textContent);
}

// A reading stands on record otherwise than here: one of the two is taken before the determination is recorded.
function differ(place, one) {
  const input = placed(place, one.name);
  if (!input) return undefined;
  const mine = input.value.trim();
  input.dataset.version = String(one.version);
  if (one.is_late) {
    contest(input, { mine: one.late, other: one.text,
      words: `${one.by} typed ${one.text} here; ${one.late_by} had typed ${one.late || "nothing"}, which came in late.` });
    return input.focus();
  }
  input.dataset.kept = one.text;
  disagree(input, { other: one.text, other_by: one.by });
  const line = input.closest("[data-field]").querySelector(".other"), stay = document.createElement("button");
  line.firstChild.textContent = `${one.by} typed ${one.text || "nothing"} here; this page showed ${mine || "nothing"}. `;
  stay.type = "button";
  stay.className = "quiet";
  stay.textContent = `Keep ${mine || "it empty"}`;
  stay.addEventListener("click", async () => {
    line.remove();
    await keep(input);
    input.focus();
  });
  line.append(stay);
  return input.focus();
}

// A determination on record is corrected with a reason; the old reading stays.
function askWhy(input, { quietly = false } = {}) {
  const field = input.closest("[data-field]");
  field.querySelector(".why")?.remove();
  const line = document.createElement("span"), why = document.createElement("input");
  const label = document.createElement("label"), row = document.createElement("span");
  line.className = "why";
  row.className = "row";
  why.id = `${input.id}-why`;
  label.htmlFor = why.id;
  label.textContent = `Why ${input.value.trim() || "nothing"} instead of ${input.dataset.kept || "nothing"}?`;
  row.append(pressed("Correct it", () => correct(input, why)), pressed("Leave it as it was", () => uncorrected(input)));
  line.append(label, why, row);
  field.append(line);
  askedWith(input, line);
  why.addEventListener("keydown", (event) => {
    if (event.key === "Escape") uncorrected(input);
    if (event.key !== "Enter") return;
    event.preventDefault();
    correct(input, why);
  });
  if (quietly) return;
  why.focus();
  say(label.textContent);
}

// What there is to ask of the corrected reading is asked with the reason; correcting it answers that it is so.
async function askedWith(input, line) {
  const place = numberOf(sectionOf(input)), text = input.value.trim();
  while (line.isConnected && !await look(place)); // another look may have overtaken it
  const open_ = questions(place).filter((one) => one.dataset.name === input.name && !one.classList.contains("impossible"));
  if (!line.isConnected || input.value.trim() !== text || !open_.length) return;
  const told = document.createElement("span");
  told.className = "hint";
  told.dataset.answers = JSON.stringify(open_.map((one) => [one.dataset.code, one.querySelector(".asked").textContent]));
  told.textContent = `${open_.map((one) => one.querySelector(".asked").textContent).join(" ")} `
    + "Correcting it says that it is so.";
  line.querySelector("label").after(told);
  say(`${line.querySelector("label").textContent} ${told.textContent}`);
}

function pressed(words, done) {
  const button = document.createElement("button");
  button.type = "button";
  button.className = "quiet";
  button.textContent = words;
  button.addEventListener("click", done);
  return button;
}

function uncorrected(input) {
  input.value = input.dataset.kept;
  input.closest("[data-field]").querySelector(".why")?.remove();
  forget(worksheet, numberOf(sectionOf(input)), input.name);
  stand(input, "on record");
  input.focus();
}

async function correct(input, why) {
  const text = input.value.trim(), place = numberOf(sectionOf(input)), reason = why.value.trim(), was = input.dataset.kept;
  if (!reason) {
    why.focus();
    return say("A reason is needed: the old reading stays on record beside the new one.");
  }
  const answers = JSON.parse(why.closest(".why").querySelector("[data-answers]")?.dataset.answers ?? "[]");
  const asked_ = { answers: answers.map(([code]) => code), asked: answers.map(([, question]) => question) };
  if (!await act("correct", { place, name: input.name, text, was, reason, ...asked_ })) return undefined;
  input.dataset.kept = text;
  forget(worksheet, place, input.name);
  stand(input, "not yet kept");
  why.closest(".why").remove();
  return input.focus();
}

// --- a determination -------------------------------------------------------------------------------------------------

function record(section, version) {
  const place = numberOf(section);
  section.classList.add("finished");
  section.dataset.version = String(version);
  badge(section, version ? "on record" : "finished, not yet kept");
  for (const one of section.querySelectorAll("button.finish, button.filling, button.refill")) one.hidden = true;
  section.querySelector(".why.left")?.remove();
  if (paper && !place) blankOfWhom(false);
  if (!sectionAt(place + 1)) open(place + 1);
}

// Finished is not on record: that it is only says the server.
function badge(section, words) {
  const heading = section.querySelector("h2");
  let state = heading.querySelector(".made");
  if (!state) {
    state = document.createElement("span");
    heading.firstChild.after(" ", state);
  }
  state.className = `made state ${words === "on record" ? "good" : "attention"}`;
  state.textContent = words;
}

function reopen(section) {
  section.classList.remove("finished");
  section.querySelector("h2 .made")?.remove();
  for (const one of section.querySelectorAll("button.finish, button.filling, button.refill")) one.hidden = false;
}

// A further determination: empty but for the temperatures.
function open(place) {
  const section = document.getElementById("next").content.firstElementChild.cloneNode(true);
  const before = sectionAt(place - 1);
  section.dataset.place = String(place);
  section.querySelector("h2").textContent = `Determination ${place}`;
  section.querySelector("h2").id = `place-${place}`;
  section.setAttribute("aria-labelledby", `place-${place}`);
  section.querySelector(".finish").textContent = `Determination ${place} is whole`;
  for (const one of inputsOf(section)) named(one, place);
  (before ?? document.getElementById("next")).after(section);
  propose(section);
  weighing();
  return section;
}

// Temperatures are proposed as they were in the determination before. Weighed by difference out of one vessel, a portion's
// gross mass is the tare before it: proposed too, but never passed over, since another vessel may stand on the balance.
function propose(section) {
  if (paper?.checked) return;
  const place = numberOf(section), gross = inputAt(place, "gross"), tare = inputAt(place - 1, "tare")?.value.trim();
  if (gross && tare && !gross.value.trim() && places.querySelector("#by-difference")?.checked) {
    gross.value = gross.dataset.carried = tare;
    stand(gross, `the tare of determination ${place - 1}: Enter if it is so`);
  }
  for (const one of inputsOf(section).filter((input) => "temperature" in input.dataset && !input.value.trim())) {
    const same = inputAt(place - 1, one.name)?.value.trim();
    if (!same) continue;
    one.value = one.dataset.carried = same;
    stand(one, `as in determination ${place - 1}`);
  }
}

function named(input, place) {
  input.id = `${place}d-${input.name.replace(" ", "-")}`;
  input.closest("[data-field]").querySelector("label").htmlFor = input.id;
}

// The burette was filled again, or the blank titrated once more: two more readings after the last final one.
function fill(section) {
  const number = finals(section).length + 1;
  further(section, inputsOf(section).filter((one) => /^final/.test(one.name)).at(-1), String(number),
    `${numberOf(section) ? "Burette, filling" : "Blank, titration"} ${number}`);
}

// The burette was filled again within one titration of the blank, the last one unless another is named.
function refill(section, titration = finals(section).length) {
  const own = new RegExp(titration === 1 ? "^final( 1\\.\\d+)?$" : `^final ${titration}(\\.\\d+)?$`);
  const there = inputsOf(section).filter((one) => own.test(one.name)), number = there.length + 1;
  further(section, there.at(-1), `${titration}.${number}`, `Blank, titration ${titration}, filling ${number}`);
}

const finals = (section) => inputsOf(section).filter((one) => /^final( \d+)?$/.test(one.name));

function further(section, last, number, words) {
  let after = last.closest("[data-field]");
  const first = numberOf(section) ? inputAt(numberOf(section), "first") : null; // of two endpoints, where it is still to come
  for (const end of first && !first.value.trim() ? ["initial", "first", "final"] : ["initial", "final"]) {
    const field = inputAt(numberOf(section), end).closest("[data-field]").cloneNode(true), input = field.querySelector("input");
    field.dataset.field = input.name = `${end} ${number}`;
    field.querySelector("label").textContent = `${words}: ${end === "first" ? "at the first endpoint" : `${end} reading`}, mL`;
    for (const one of field.querySelectorAll(".other, .why, .corrections, s")) one.remove();
    Object.assign(input.dataset, { version: "0", kept: "", needed: "" });
    if (end === "first") delete input.dataset.needed;
    input.value = "";
    after.after(field);
    named(input, numberOf(section));
    stand(input, "");
    after = field;
  }
  inputAt(numberOf(section), `initial ${number}`).focus();
}

function weighing() {
  const way = places.querySelector("input[name=weighing]:checked")?.value;
  if (!way) return;
  for (const input of places.querySelectorAll("input[data-mass]")) {
    const used = way === "net" ? input.name === "net" : input.name !== "net";
    input.closest("[data-field]").hidden = !used && !input.value.trim();
  }
}

// Whether a reading is still to be typed, or to be agreed to where it was proposed.
const isDue = (one) => shown(one) && one.name !== "identity"
  && (!one.value.trim() || (one.name === "gross" && one.dataset.carried === one.value && one.dataset.kept !== one.value));

function missing(section) {
  const weighed = inputsOf(section).filter((one) => MASSES.includes(one.name) && shown(one));
  const first = inputsOf(section).some((one) => /^first( \d+)?$/.test(one.name) && one.value.trim());
  return inputsOf(section).filter(shown).find((one) => !one.value.trim() && !(first && one.name === "first")
    && ("needed" in one.dataset || weighed.includes(one)));
}

// Puts a determination on record, once nothing is missing and every question was answered or looked at twice.
async function finish(section) {
  if ("finishing" in section.dataset) return; // Enter struck twice before the answer to the first was there
  section.dataset.finishing = "";
  try {
    await finishWhole(section);
  } finally {
    delete section.dataset.finishing;
  }
}

const FIGURE = /^[-−+]?\d+(?:[.,]\d+)?(?:\s*[^\d\s.,]\S*)?$/;

// The first reading of a determination that is no figure, or a final one before its initial one.
function cannotBe(section) {
  for (const input of inputsOf(section).filter((one) => one.inputMode === "decimal" && one.value.trim())) {
    const text = input.value.trim(), words = input.labels[0].textContent;
    if (!FIGURE.test(text)) return { input, words: `${words}: “${text}” is no figure.` };
    const initial = input.name.startsWith("final") && inputAt(numberOf(section), input.name.replace("final", "initial"));
    if (initial && titre([[initial.value, text]]).startsWith("−")) {
      return { input, words: `${words}: ${text} is before the initial reading, ${initial.value.trim()}.` };
    }
  }
  return null;
}

const signature = (section) => JSON.stringify(
  [textsOf(section), questions(numberOf(section)).map((one) => one.dataset.code)]);

// Asks once more what is open; Enter or F2 after that is the answer.
function ask(section) {
  const [first] = questions(numberOf(section)).filter((one) => !one.classList.contains("impossible"));
  if (!first) return;
  section.dataset.asked = signature(section);
  point(first);
  say(`Is it so? ${first.querySelector(".asked").textContent} Enter or F2: it is so.`);
}

// The fields of a further filling, or titration of the blank, of which nothing is typed; none where something is.
function unread(section, { name }) {
  const mark = /^(?:initial|first|final) (.+)$/.exec(name)?.[1];
  const fields = inputsOf(section).filter((one) => mark && one.name.endsWith(` ${mark}`));
  return fields.every((one) => !one.value.trim()) ? fields : [];
}

// A reading that is missing is asked for; a filling opened by mistake is taken away by saying so once more.
async function lacks(section) {
  const lacking = missing(section), empty = lacking ? unread(section, lacking) : [];
  if (empty.length && section.dataset.unread === lacking.name) {
    for (const one of empty) {
      await keep(one);
      one.closest("[data-field]").remove();
    }
    delete section.dataset.unread;
    return lacks(section);
  }
  if (!lacking) return false;
  lacking.focus();
  if (empty.length) section.dataset.unread = lacking.name;
  say(`${lacking.labels[0].textContent} is missing.${empty.length ? " Once more says that there was none." : ""}`);
  return true;
}

async function finishWhole(section) {
  const place = numberOf(section);
  if (await lacks(section)) return undefined;
  for (const one of inputsOf(section)) await keep(one);
  while (!await look(place)); // another look may have overtaken it
  const lookedAt = seen;
  const wrong = lookedAt ? null : cannotBe(section); // without the server the page itself says what cannot be
  if (wrong) {
    wrong.input.focus();
    return say(`This cannot be: ${wrong.words}`);
  }
  const open_ = questions(place), impossible = open_.find((one) => one.classList.contains("impossible"));
  if (impossible) {
    point(impossible);
    return say(`This cannot be: ${impossible.querySelector(".asked").textContent}`);
  }
  if (open_.length && section.dataset.asked !== signature(section)) return ask(section);
  for (const one of open_) await confirm(one, place);
  for (const one of (await waiting()).filter((old) => old.refused && old.kind === "finish" && old.place === place
    && old.identity === worksheet && old.by === person)) await strike(one.sequence);
  listRefused();
  record(section, 0);
  await act("finish", { place, shown: textsOf(section), looked: lookedAt === sight(section) });
  const next = sectionAt(place + 1);
  (place ? inputsOf(next).find(isDue) : firstEmpty())?.focus();
  return say(`${named_(place)} is whole. ${place >= Number(bench.dataset.planned) ? "Control Enter sends to review." : ""}`);
}

// Enter: on to the next reading at once, so that what is typed meanwhile goes there; after the last one it is whole.
async function leave(input) {
  const section = sectionOf(input), all = inputsOf(section).filter(shown), rest = all.slice(all.indexOf(input) + 1);
  const next = rest.find((one) => !(("temperature" in one.dataset) && one.value.trim()) && one.name !== "identity");
  const kept = keep(input);
  if (isFinished(section)) return;
  if (section.dataset.unread === input.name && !input.value.trim()) {
    await kept.then(() => finish(section));
    return;
  }
  if (next) next.focus();
  else await kept.then(() => finish(section));
}

// --- questions -------------------------------------------------------------------------------------------------------

const questions = (place) => Number(live.dataset.place) === place
  ? [...live.querySelectorAll(".question:not(.confirmed)")] : [];

function point(question) {
  inputAt(Number(live.dataset.place), question.dataset.name)?.focus();
}

// What was answered on this page, though the server may not have heard of it yet: it is not asked, or answered, twice.
const answered = new Set();
const asking = ({ dataset: { name, code, text } }, place) => JSON.stringify([place, name, code, text]);

function settled(question) {
  question.classList.add("confirmed");
  question.querySelector(".row")?.remove();
}

async function confirm(question, place) {
  settled(question);
  const { name, code, text } = question.dataset, key = asking(question, place);
  answered.add(key);
  if (!await act("confirm", { place, name, code, text, question: question.querySelector(".asked").textContent })) {
    answered.delete(key);
  }
}

// Readings of one determination that come from paper and from the burette: all of them as it is ticked above.
async function takeAlike(section) {
  for (const input of inputsOf(section)) {
    const text = input.value.trim();
    if (!text || input.dataset.carried === text) continue;
    input.dataset.kept = text;
    stand(input, "not yet kept");
    await act("keep", { place: numberOf(section), name: input.name, text, seen: Number(input.dataset.version) });
  }
  await outbox.pump();
  await look(numberOf(section));
}

async function confirmFirst() {
  const place = Number(live.dataset.place), open_ = questions(place).filter((one) => !one.classList.contains("impossible"));
  if (!open_.length) return;
  const section = sectionAt(place), all = section.dataset.asked !== undefined;
  for (const one of all ? open_ : open_.slice(0, 1)) await confirm(one, place);
  say("Confirmed.");
  if (all) await finish(section);
}

// --- the live part ---------------------------------------------------------------------------------------------------

let asked = 0, timer = 0, news = "";
let blind = false; // the server did not answer this person when it was last asked
let seen = ""; // the readings that the server has last had a look at: those that were asked about as they stand

const sight = (section) => JSON.stringify([numberOf(section), textsOf(section)]);

// The field that is still being typed, of those of a determination; what stands in the others has been left.
function typingIn(section) {
  const here = document.activeElement;
  return here?.name && sectionOf(here) === section && here.value.trim() !== here.dataset.kept ? here.name : "";
}

function pairsOf(section) {
  const typed = textsOf(section), pairs = [];
  for (let number = 1; ; number += 1) {
    const ends = ["initial", "final"].map((end) => (number === 1 ? end : `${end} ${number}`));
    if (!inputAt(numberOf(section), ends[0])) return pairs;
    if (number === 1 || ends.some((end) => typed[end])) pairs.push(ends.map((end) => typed[end]));
  }
}

// The readings of the last titration of the blank of which anything is typed: titrations of a blank are not summed.
function pairsOfBlank(section) {
  const typed = textsOf(section);
  for (let titration = finals(section).length; titration > 0; titration -= 1) {
    const pairs = [];
    for (let filling = 1; ; filling += 1) {
      const mark = filling > 1 ? ` ${titration}.${filling}` : titration > 1 ? ` ${titration}` : "";
      if (!inputAt(0, `initial${mark}`)) break;
      pairs.push([typed[`initial${mark}`], typed[`final${mark}`]]);
    }
    const read = pairs.filter((pair, at) => !at || pair.some(Boolean));
    if (titration === 1 || pairs.some((pair) => pair.some(Boolean))) return read;
  }
  return [];
}

// Shows what follows from what is typed; says false where a later look has overtaken this one.
async function look(place) {
  clearTimeout(timer);
  const section = sectionAt(place), number = ++asked;
  if (!section) return true;
  const mine = titre(place ? pairsOf(section) : pairsOfBlank(section));
  live.dataset.place = String(place);
  const show = () => { live.querySelector(".titre output").textContent = mine ? `${mine} mL` : "–"; };
  show();
  let answer;
  const sought = sight(section);
  try {
    answer = await post(`/bench/live/${encodeURIComponent(worksheet)}`,
      { place, texts: textsOf(section), by: person, typing: typingIn(section), ...origin() }, LIVE_PATIENCE_MS);
  } catch {
    answer = null;
  }
  const text = answer?.ok ? await answer.text().catch(() => "") : "";
  if (number !== asked) return false;
  seen = text ? sought : "";
  if (text) {
    blind = false;
    swap(text);
    if (!place) show();
    if (["signed out", "another session"].includes(bench.dataset.outbox)) outbox.pump();
  } else {
    const result = live.querySelector("[data-part=result]"), stranger = answer && await whoseSession(answer);
    if (stranger) result.innerHTML = '<p class="hint">The titre only, until you have signed in again.</p>';
    result.classList.toggle("stale", !stranger);
    live.querySelector("[data-part=questions]").replaceChildren();
  }
  return true;
}

// The server answers, but not this person: nobody is signed in, or somebody else is. Says whether it is so.
async function whoseSession(answer) {
  const count = (await waiting().catch(() => [])).filter((one) => !one.refused && one.by === person).length;
  if (answer.status === 401) tell("signed out", count);
  if (answer.status === 409) tell("another session", count, (await answer.json().catch(() => ({}))).person);
  blind = [401, 409].includes(answer.status);
  return blind;
}

// New parts in place of the old ones; whoever stands on a button stays on it.
function swap(text) {
  const focused = document.activeElement?.closest(".question"), before = live.innerText;
  const parts = new DOMParser().parseFromString(text, "text/html");
  for (const part of parts.querySelectorAll("[data-part]")) {
    live.querySelector(`[data-part="${part.dataset.part}"]`)?.replaceWith(document.importNode(part, true));
  }
  if (focused) {
    const same = [...live.querySelectorAll(".question")].find((one) => one.dataset.code === focused.dataset.code
      && one.dataset.name === focused.dataset.name);
    (same?.querySelector("button") ?? inputAt(Number(live.dataset.place), focused.dataset.name))?.focus();
  }
  const place = Number(live.dataset.place);
  for (const one of questions(place).filter((open_) => answered.has(asking(open_, place)))) settled(one);
  mark();
  if (live.innerText !== before || news) speak();
}

// Titre, result, remarks and questions in words, for whoever hears the page.
function speak() {
  const words = (where) => [...live.querySelectorAll(where)].map((one) => one.textContent.trim()).filter(Boolean);
  const mine = words(".titre output")[0];
  const heard_ = news + [
    mine && mine !== "–" ? `Titre ${mine}` : "", ...words("p.figure"), ...words("p.figure + .hint"),
    ...words(".state"), ...words("ul.remark li"), ...words(".question:not(.confirmed) .asked"),
  ].filter(Boolean).map((one) => one.replace(/\.$/, "")).join(". ");
  if (heard_) say(heard_); // else what was said last stands
  news = "";
}

function mark() {
  for (const one of places.querySelectorAll("[aria-invalid]")) one.removeAttribute("aria-invalid");
  for (const one of live.querySelectorAll(".question:not(.confirmed)")) {
    inputAt(Number(live.dataset.place), one.dataset.name)?.setAttribute("aria-invalid", "true");
  }
}

// --- what is done with keys, fingers and scanners --------------------------------------------------------------------

const LABEL = /^(?:(?:lot|solution) |https?:)/;
const READ = /^[-−+]?(?:0|[1-9]\d*)(?:[.,]\d+)?$/; // 3E5 and 0941 are nothing that a burette or a balance shows
const isLabel = (text) => LABEL.test(text) || text === worksheet || (text === bench.dataset.about && !READ.test(text));

// A label scanned while the cursor stands in a reading belongs to the sample, not to the reading.
function scanned(input) {
  const field = inputAt(numberOf(sectionOf(input)), "identity");
  if (!field || field === input || !isLabel(input.value.trim())) return false;
  field.value = input.value.trim();
  input.value = input.dataset.kept;
  forget(worksheet, numberOf(sectionOf(input)), input.name);
  stand(input, input.dataset.kept ? "kept" : "");
  return keep(field).then(() => look(numberOf(sectionOf(input)))).then(() => input.focus());
}

places.addEventListener("input", (event) => {
  const input = event.target;
  if (input.name === "weighing" || !sectionOf(input) || input.closest(".why")) return;
  const place = numberOf(sectionOf(input));
  delete sectionOf(input).dataset.unread;
  draft(worksheet, place, input.name, person, input.value);
  stand(input, input.value.trim() === input.dataset.kept ? "" : "typing");
  askForChecks();
  clearTimeout(timer);
  timer = setTimeout(() => look(place), LIVE_AFTER_MS);
});

places.addEventListener("change", (event) => {
  const input = event.target;
  if (input.name === "weighing") return weighing();
  if (!sectionOf(input) || input.closest(".why")) return undefined;
  // What is no figure, or has too few decimals, is told now that it is left.
  if ("mass" in input.dataset) weighing(); // one that was emptied goes, where the portion is weighed the other way
  return keep(input).then(() => {
    const section = sectionOf(input), here = document.activeElement;
    if ((here && sectionOf(here) ? sectionOf(here) : section) === section) look(numberOf(section));
  });
});

places.addEventListener("focusin", (event) => {
  if (event.target.dataset.carried && event.target.dataset.carried === event.target.value) event.target.select();
  const section = sectionOf(event.target);
  if (section && event.target.name && numberOf(section) !== Number(live.dataset.place)) look(numberOf(section));
});

places.addEventListener("keydown", (event) => {
  const input = event.target;
  if (event.key !== "Enter" || event.ctrlKey || !input.name || !sectionOf(input) || input.closest(".why")) return;
  event.preventDefault();
  if (!scanned(input)) leave(input);
});

places.addEventListener("click", (event) => {
  const button = event.target.closest("button");
  if (button?.matches(".finish")) finish(sectionOf(button));
  if (button?.matches(".filling")) fill(sectionOf(button));
  if (button?.matches(".refill")) refill(sectionOf(button));
});

live.addEventListener("click", (event) => {
  const button = event.target.closest("button");
  if (!button) return;
  const question = button.closest(".question");
  if ("confirm" in button.dataset) confirmFirst();
  if ("alike" in button.dataset) takeAlike(sectionAt(Number(live.dataset.place)));
  point(question); // back to the reading, whichever of the two was pressed
});

document.addEventListener("keydown", (event) => {
  if (event.key === "F2") {
    event.preventDefault();
    confirmFirst();
  }
  if (event.key === "Enter" && event.ctrlKey) {
    event.preventDefault();
    send();
  }
});

// Once something is typed, checks that nobody has gone through are asked for in one line; nothing waits for them.
function askForChecks() {
  const line = document.getElementById("unchecked");
  if (!line?.hidden || document.getElementById("checked").textContent.trim() || "checking" in bench.dataset) return;
  line.hidden = false;
  say(line.textContent.trim());
}

function checked(by = {}) {
  bench.dataset.checking = "";
  document.getElementById("unchecked").hidden = true;
  const checks = [...document.querySelectorAll(".checklist .check-words")].map((one) => one.textContent.trim());
  act("check", { checks, ...by });
  document.querySelector(".checks").open = false;
  firstEmpty()?.focus();
}

document.getElementById("check")?.addEventListener("click", () => checked());
document.getElementById("ticked")?.addEventListener("change", ({ target }) => {
  if (!target.checked) return;
  target.disabled = true; // it is on record now, and no second look unsays it
  checked({ titrated_by: document.getElementById("ticked-by").value });
});

// What cannot go on record, or was emptied, is sent only with the reason why it does not count; Control Enter then sends.
function askLeft(section, { quietly = false } = {}) {
  let why = section.querySelector(".why.left input");
  if (!why) {
    const line = document.createElement("div"), label = document.createElement("label");
    why = document.createElement("input");
    why.id = `left-${numberOf(section)}`;
    label.htmlFor = why.id;
    label.textContent = `Why ${named_(numberOf(section)).replace(/^[A-Z]/, (one) => one.toLowerCase())} does not count`;
    line.className = "why left";
    line.append(label, why);
    section.querySelector(".pairs").after(line);
    why.addEventListener("keydown", (event) => {
      if (event.key !== "Enter" || event.ctrlKey) return;
      event.preventDefault();
      send();
    });
  }
  if (!quietly) why.focus();
}

const reasonsLeft = () => Object.fromEntries([...places.querySelectorAll(".why.left input")]
  .filter((one) => one.value.trim()).map((one) => [numberOf(sectionOf(one)), one.value.trim()]));

async function send() {
  if (!isOpen()) return;
  const here = document.activeElement;
  if (here?.name && sectionOf(here) && here.dataset.carried !== here.value) await keep(here);
  for (const section of places.querySelectorAll(".place:not(.finished)")) {
    const typed = inputsOf(section).some((one) => one.value.trim() && !("carried" in one.dataset));
    if (typed && !(numberOf(section) in reasonsLeft())) {
      const cannot = missing(section) || questions(numberOf(section)).some((one) => one.classList.contains("impossible"));
      await finish(section);
      if (cannot && !isFinished(section)) askLeft(section, { quietly: true });
      if (!isFinished(section)) return;
    }
  }
  const all = (await waiting()).filter((one) => one.refused && one.identity === worksheet);
  const refused = all.filter((one) => one.by === person);
  for (const one of refused.filter((old) => old.kind === "send")) await strike(one.sequence); // sent anew now
  listRefused();
  if (refused.some((one) => one.kind !== "send")) {
    say("Something was not taken. Type it again or strike it out before sending to review.");
    document.getElementById("refused").scrollIntoView();
    return;
  }
  if (all.some((one) => one.by !== person) && !("othersAsked" in bench.dataset)) {
    bench.dataset.othersAsked = "";
    document.getElementById("refused").scrollIntoView();
    return say("Something that somebody else typed in this browser was not taken. Once more sends all the same.");
  }
  const done = places.querySelectorAll(".place.finished:not(.blank)").length, planned = Number(bench.dataset.planned);
  if (done < planned && bench.dataset.sendAsked !== String(done)) {
    bench.dataset.sendAsked = String(done);
    document.getElementById("send").textContent = `${done} of ${planned} determinations: send all the same`;
    return say(`${done} of ${planned} determinations. Once more sends all the same.`);
  }
  await act("send", { left: reasonsLeft() });
  await outbox.pump();
  return sendWaits();
}

// Without the server it goes to review later, and the page says so.
async function sendWaits() {
  const waits = (await waiting().catch(() => [])).some((one) => one.kind === "send" && one.identity === worksheet
    && one.by === person && !one.refused);
  if (!waits) return;
  document.getElementById("send").textContent = "Waits in this browser: goes to review once the server answers";
  say("Not yet sent to review: it waits in this browser, and goes once the server answers.");
}

document.getElementById("send")?.addEventListener("click", send);

function firstEmpty() {
  const section = places.querySelector(".place:not(.finished)");
  return section && inputsOf(section).find(isDue);
}

// --- opening the page ------------------------------------------------------------------------------------------------

// What this browser knows is shown where it was typed, whatever the page says: it may be older, opened without the server.
async function restore() {
  for (const one of await takenOf(worksheet)) showTaken(one);
  const acts = (await waiting()).filter((one) => one.identity === worksheet && one.by === person && !one.refused);
  for (const one of acts) showWaiting(one);
  if (acts.some((one) => one.kind === "send")) await sendWaits();
  for (const one of (await drafts()).filter((half) => half.worksheet === worksheet && half.by === person)) showDraft(one);
}

function goneThrough(so) {
  HEARD.check();
  document.getElementById("checked").textContent = `Gone through${so}.`;
  document.querySelector(".checks").open = false;
}

function showTaken(one) {
  if (one.kind === "check" && !document.getElementById("checked").textContent.trim()) return goneThrough(", and on record");
  const input = one.name && placed(one.place, one.name), section = "place" in one && sectionAt(one.place);
  if (one.kind === "finish" && section && !isFinished(section)) return record(section, one.version);
  if (["keep", "correct"].includes(one.kind) && input && Number(input.dataset.version) < one.version) {
    if (one.kind === "keep" && isFinished(sectionOf(input))) return undefined;
    input.value = input.dataset.kept = one.text;
    input.dataset.version = String(one.version);
    return stand(input, "kept");
  }
  return shownByServer(one);
}

function showWaiting(one) {
  if (one.kind === "check") goneThrough(", not yet kept");
  if (one.kind === "finish" && sectionAt(one.place)) record(sectionAt(one.place), 0);
  const input = ["keep", "correct"].includes(one.kind) && placed(one.place, one.name);
  if (!input || (one.kind === "keep" && isFinished(sectionOf(input)))) return;
  input.value = input.dataset.kept = one.text;
  typedHere.set(input, (typedHere.get(input) ?? new Set()).add(one.text));
  stand(input, "not yet kept");
}

let halfTyped = null; // where somebody was typing when the page was left: the cursor goes back there

function showDraft(one) {
  const input = placed(one.place, one.name);
  if (!input || one.text.trim() === input.dataset.kept) return forget(worksheet, one.place, one.name);
  input.value = one.text;
  if (isFinished(sectionOf(input))) return askWhy(input, { quietly: true });
  halfTyped = input;
  return stand(input, "typed, and not left yet");
}

function placed(place, name) {
  for (let number = 1; number <= place; number += 1) if (!sectionAt(number)) open(number);
  const filling = /^(?:initial|final) (\d+)$/.exec(name);
  while (filling && !inputAt(place, name)) fill(sectionAt(place));
  const again = /^(?:initial|final) (\d+)\.\d+$/.exec(name);
  while (again && !place && finals(sectionAt(0)).length < Number(again[1])) fill(sectionAt(0));
  while (again && !place && !inputAt(0, name)) refill(sectionAt(0), Number(again[1]));
  return inputAt(place, name);
}

// The page itself is kept in this browser, so that it opens while the server does not answer.
async function keepPage() {
  if (!navigator.serviceWorker) throw new Error("this browser keeps no page");
  await navigator.serviceWorker.register("/bench-worker.js");
  const { active } = await navigator.serviceWorker.ready;
  const parts = performance.getEntriesByType("resource").map((one) => one.name).filter((one) => one.includes("/static/"));
  const channel = new MessageChannel();
  channel.port1.onmessage = () => { bench.dataset.worker = "kept"; };
  active.postMessage({ keep: [location.href, ...parts] }, [channel.port2]);
}

async function begin() {
  for (const one of places.querySelectorAll(".place input[name]")) {
    named(one, numberOf(sectionOf(one)));
    one.dataset.kept = one.value.trim();
  }
  weighing();
  for (const one of (await waiting().catch(() => [])).filter((old) => old.refused && old.kind === "finish"
    && old.by === person && old.identity === worksheet && sectionAt(old.place)?.dataset.version > 0)) await strike(one.sequence);
  await restore().catch(() => tell("no room", 0));
  if (isOpen()) places.querySelectorAll(".place:not(.finished)").forEach(propose);
  listRefused();
  outbox.pump();
  window.addEventListener("online", () => outbox.pump());
  document.querySelector("form.who")?.addEventListener("submit", () => {
    navigator.serviceWorker?.controller?.postMessage("signed out");
    forgetTaken().catch(() => {});
  });
  keepPage().catch(() => {
    bench.dataset.worker = "refused";
    document.getElementById("untrusted").hidden = false;
  });
  bench.dataset.ready = "";
  const first = document.getElementById("checked")?.textContent.trim() ? firstEmpty() : document.getElementById("check");
  if (isOpen()) (halfTyped ?? first ?? document.getElementById("send"))?.focus();
  halfTyped?.setSelectionRange(halfTyped.value.length, halfTyped.value.length);
  // What is asked before anything is read is answered for the determination that comes first.
  if (isOpen() && !live.dataset.place) look(numberOf(places.querySelector(".place:not(.finished):not(.blank)")));
}

begin();
