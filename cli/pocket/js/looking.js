// What a person looks up in the middle of a job, and what is told without being asked.

/** Name of a side screen -> its screen. */
const SIDE = {
  start: startScreen,
  why: whyScreen,
  suspects: suspectsScreen,
  tell: tellScreen,
  telling: (page) => questionScreen(page, { check: page.about }, true),
  repairs: repairsScreen,
  danger: dangerScreen,
  note: noteScreen,
  record: (page) => [heading("The record"), recordBox(page, page.events), returning(page)],
};

function returning(page) {
  return button("Go on", () => page.show(""), { key: "b", kind: "main" });
}

function whyScreen(page) {
  const { book, now: { job, advice }, about } = page;
  const belief = about.phase === "narrow" ? advice.belief : withLeads(book, job, advice.belief, [about.check]);
  const why = whyCheck(book, belief, setupNow(book, job), about.check);
  const leads = ({ outcome, chance, leading }) => `${outcome.text} (${percent(chance)}): then `
    + leading.map(([repair, share]) => `${book.repairs[repair].title} ${percent(share)}`).join(", ");
  return [
    heading("Why this check?"),
    about.rule ? paragraph(about.rule.says) : null,
    paragraph(`It takes ${minutesInWords(why.minutes)} and is expected to settle ${percent(why.gain)} of the doubt.`),
    paragraph(`Repairing by the best guess now: ${minutesInWords(why.repairNow)} in the mean; `
      + `after this check: ${minutesInWords(why.repairAfter)}.`),
    listed(why.outcomes.filter(({ chance }) => chance > 0).map(leads), "ul", "What each answer would leave"),
    returning(page),
  ];
}

function suspectsScreen(page) {
  const { book, now: { advice } } = page;
  const shown = suspectsOf(advice.belief).slice(0, 10).map((suspect) => [
    element("strong", {}, `${percent(suspect.share)} ${suspectName(book, suspect)}`),
    element("br"), because(book, suspect), element("br"), `Repair: ${book.repairs[suspect.repair].title}`,
  ]);
  return [heading("Suspects"), pairsNote(page), listed(shown, "ol"), returning(page)];
}

/** A suspect by name: the part and its fault, or what else it may be. */
function suspectName(book, { faults, repair }) {
  if (!faults.length) return book.repairs[repair].title;
  return faults.map((id) => `${capital(book.parts[id.split(".")[0]])}: ${book.faults[id].name}`).join("; ");
}

function because(book, { faults }) {
  return faults.map((id) => book.faults[id].because).join(" ");
}

/** Any check by words out of it. */
function tellScreen(page) {
  const words = field("What is it about?", { name: "search", type: "search", autocomplete: "off" });
  const found = element("div", { class: "answers" });
  words.typed.addEventListener("input", () => {
    const checks = checksAbout(page.book, words.typed.value);
    found.replaceChildren(...checks.map((check) => button(check.ask, () => page.show("telling", check))));
  });
  return [heading("Tell something else"), words.shown, found, returning(page)];
}

/** Checks in whose question or words all of some words begin. */
function checksAbout(book, typed) {
  const wanted = typed.toLowerCase().split(/\s+/).filter(Boolean);
  if (!wanted.length) return [];
  const within = (check) => {
    const words = `${check.ask} ${check.words.join(" ")}`.toLowerCase().split(/[^a-z0-9]+/);
    return wanted.every((word) => words.some((each) => each.startsWith(word)));
  };
  return book.checks.filter(within).slice(0, 8);
}

function repairsScreen(page) {
  const { book, now: { advice } } = page;
  const known = repairShares(advice.belief).filter(([id]) => ![book.figures.noFault, book.figures.somethingElse].includes(id));
  return [
    heading("What did you repair?"),
    element("div", { class: "answers" },
      known.map(([id]) => button(book.repairs[id].title, () => page.choose(id)))),
    returning(page),
  ];
}

/** What ends the work whatever is asked now. */
function dangerScreen(page) {
  const { book } = page;
  const signs = book.stopWork.map((id) => {
    const close = () => page.close({ how: "left", stopped: [id] });
    return element("details", {}, element("summary", {}, book.cautions[id].title),
      cautionBox(book, [id], new Set()),
      page.now ? button("It is so: close the job, work stopped", close, { kind: "main" }) : null);
  });
  return [heading("Stop the work. What have you met?"), signs, returning(page)];
}

function noteScreen(page) {
  const about = field("About", { name: "about" }, "select");
  const kinds = { label: "Whose furnace it is", who: "Who worked on it", part: "A part that was fitted",
    told: "What the customer was told", note: "Anything else" };
  for (const [value, text] of Object.entries(kinds)) about.typed.append(element("option", { value }, text));
  const text = field("Note", { name: "text", rows: "4", maxlength: "500" }, "textarea");
  const enter = (event) => {
    event.preventDefault();
    if (!text.typed.value.trim()) return page.say("Write something first.");
    return page.happened({ type: "noted", about: about.typed.value, text: text.typed.value.trim() });
  };
  return [
    heading("Write a note"),
    element("form", { onsubmit: enter }, about.shown, text.shown,
      element("button", { type: "submit", class: "main" }, "Keep it")),
    returning(page),
  ];
}

/** The record, to be copied and sent on. */
function recordBox(page, events) {
  const text = recordOf(page.book, events);
  const shown = element("textarea", { readonly: true, rows: "8", "aria-label": "The record", spellcheck: "false" });
  shown.value = text;
  const copy = async () => {
    try {
      await navigator.clipboard.writeText(text);
      page.say("Copied. Send it on, or paste it into a file.");
    } catch {
      shown.focus();
      shown.select();
      page.say(document.execCommand("copy") ? "Copied. Send it on, or paste it into a file."
        : "It is selected: copy it by hand.");
    }
  };
  return element("section", {}, shown, button("Copy the record", copy));
}
