// What is shown at each stand of a job. A screen is a list of elements, the next action last.

/** The screen of a job as it stands. */
function jobScreen(page) {
  const { job, next } = page.now;
  if (job.closed) return closedScreen(page);
  if (page.repair) return repairScreen(page, page.repair);
  if (job.toProve) return provingScreen(page);
  return NEXT[next.kind](page);
}

/** What comes next -> its screen. */
const NEXT = {
  stop: stopScreen,
  "make-safe": makeSafeScreen,
  check: (page) => questionScreen(page, page.now.next),
  repair: (page) => repairScreen(page, page.now.next.repair),
  "nothing-found": nothingScreen,
  refer: nothingScreen,
};

// --- the beginning ----------------------------------------------------------------

/** Before a job: who is there, with what. */
function startScreen(page) {
  const { book } = page;
  const licence = field("I am qualified and licensed to work on gas here", { name: "licence", type: "checkbox" });
  const lacking = Object.entries(book.tools).map(([id, name]) => ({
    id, ...field(name, { name: `tool-${id}`, type: "checkbox", checked: true }),
  }));
  const begin = () => page.begin({
    licence: licence.typed.checked ? "gas" : "none",
    lacks: lacking.filter(({ typed }) => !typed.checked).map(({ id }) => id),
  });
  return [
    heading(book.furnace.name),
    listed(book.furnace.seen, "ul", "Is this what you see?"),
    cautionBox(book, [book.standingNote], new Set()),
    element("div", { class: "choices" }, licence.shown),
    element("details", {}, element("summary", {}, "Tools at hand"),
      element("div", { class: "choices" }, lacking.map(({ shown }) => shown))),
    page.jobs.length ? element("section", {}, element("h2", {}, "Jobs on this device"),
      page.jobs.map((each) => button(jobInWords(book, each.events), () => page.take(each)))) : null,
    button("Begin a new job", begin, { kind: "main" }),
  ];
}

function jobInWords(book, events) {
  const day = new Date(events[0].time).toLocaleString([], { dateStyle: "medium", timeStyle: "short" });
  const job = understoodJob(book, events)?.job;
  if (!job) return `${day}: made by another page, its record only`;
  return `${day}: ${job.closed ? "closed" : "go on"}`;
}

/** The signs of danger, all on one screen. */
function makeSafeScreen(page) {
  const { book, now: { next } } = page;
  const signs = next.signs.map((sign) => ({ sign, ...field(sign.ask, { name: sign.id, type: "checkbox" }) }));
  const none = () => page.happened(...signs.map(({ sign, typed }) => ({
    type: "finding", check: sign.id, outcome: typed.checked ? "yes" : "no", entered: typed.checked ? "y" : "n",
  })));
  return [
    heading("Make safe first. Is any of this so?"),
    cautionBox(book, [book.standingNote], page.told),
    element("div", { class: "choices" }, signs.map(({ shown }) => shown)),
    paragraph("Tick what is so. Then, with nothing or something ticked:"),
    button("I looked; go on", none, { kind: "main", key: "n" }),
  ];
}

/** The work ends. */
function stopScreen(page) {
  const { book, now: { next } } = page;
  const stopped = next.stops.map(({ text }) => text);
  return [
    heading("Stop the work"),
    cautionBox(book, stopped, new Set()),
    listed([...new Set(next.stops.map(({ rule }) => rule.says))], "ul", "Why"),
    besides(page),
    button("Close the job: work stopped", () => page.close({ how: "left", stopped }), { kind: "main" }),
    button("Back, that was wrong", page.back, { key: "b" }),
  ];
}

// --- a question -------------------------------------------------------------------

/** A check to be made. `unasked` tells something that nobody asked for. */
function questionScreen(page, asked, unasked = false) {
  const { book } = page;
  const { check } = asked;
  const take = (outcome, entered) => page.happened({
    type: "finding", check: check.id, outcome, entered, ...(unasked && { unasked }),
  });
  const told = (said(page.now.advice, "caution")).map(({ text }) => text);
  return [
    unasked ? null : paragraph(`${minutesInWords(asked.minutes)}${PHASES[asked.phase] ?? ""}`, "note"),
    asked.phase === "customer" || unasked ? null : paragraph(leadingInWords(page), "note"),
    asked.rule ? paragraph(asked.rule.says, "note") : null,
    unasked ? null : listed(setupWords(book, setupNow(book, page.now.job), check), "ol", "First"),
    cautionBox(book, [...new Set([...check.hazards, ...(unasked ? [] : told)])], page.told),
    heading(check.ask),
    listed(check.how, "ol"),
    check.tools.length ? paragraph(`Tools: ${check.tools.map((id) => book.tools[id]).join(", ")}.`, "note") : null,
    answers(check, take, page.say),
    row(button("Don't know", () => take(null, "?"), { key: "?" }),
      unasked ? null : button("Skip", () => page.happened({ type: "skipped", check: check.id }), { key: "s" }),
      button("Back", unasked ? () => page.show("") : page.back, { key: "b" })),
    unasked ? null : moreButtons(page, asked),
  ];
}

const PHASES = { customer: ", the customer", "first-look": ", a look round", watch: ", watching a call" };

function leadingInWords({ book, now: { advice } }) {
  const [[repair, share]] = repairShares(advice.belief);
  return `Leading: ${book.repairs[repair].title}, ${percent(share)}.`;
}

function moreButtons(page, asked) {
  return element("details", {}, element("summary", {}, "More"),
    asked.phase === "customer" ? null : button("Why this check?", () => page.show("why", asked), { key: "w" }),
    asked.phase === "customer" ? null : button("Suspects", () => page.show("suspects"), { key: "p" }),
    button("Tell something else", () => page.show("tell"), { key: "t" }),
    asked.phase === "customer"
      ? button("Skip the interview", () => page.happened({ type: "interview-skipped" }), { key: "i" }) : null,
    button("I repaired something", () => page.show("repairs"), { key: "r" }),
    button("Write a note", () => page.show("note"), { key: "m" }),
    button("The record", () => page.show("record"), { key: "k" }));
}

// --- what to do -------------------------------------------------------------------

/** A repair: what it takes, and how it went. */
function repairScreen(page, id) {
  const { book, now: { advice } } = page;
  const repair = book.repairs[id];
  const [leading] = suspectsOf(advice.belief).filter((each) => each.repair === id);
  const share = repairShares(advice.belief).find(([each]) => each === id)?.[1] ?? 0;
  const sections = repair.sections.map(([head, lines]) => listed(lines, "ol", head));
  return [
    paragraph(`Repair, ${minutesInWords(repair.minutes)}`, "note"),
    heading(repair.title),
    leading?.faults.length ? paragraph(`${suspectName(book, leading)}, ${percent(share)}. ${because(book, leading)}`) : null,
    pairsNote(page),
    cautionBox(book, repair.hazards, page.told),
    repair.tools.length ? paragraph(`Tools: ${repair.tools.map((tool) => book.tools[tool]).join(", ")}.`, "note") : null,
    repair.replaced ? paragraph(`Replaced: ${repair.replaced}`, "note") : null,
    sections,
    besides(page),
    repairButtons(page, id, repair),
    row(button("Look further", page.further), button("Back", page.repair ? () => page.choose("") : page.back, { key: "b" })),
    button("Suspects", () => page.show("suspects"), { key: "p" }),
    button("I repaired something else", () => page.show("repairs"), { key: "r" }),
    button("The record", () => page.show("record"), { key: "k" }),
  ];
}

function repairButtons(page, id, repair) {
  if (repair.staysOff) {
    const close = () => page.close({ how: "found", repair: id, proof: "tagged" });
    return button("Done: it is off and tagged", close, { key: "1", kind: "main" });
  }
  return [
    button("Done, and it works", () => page.happened({ type: "cured", repair: id }), { key: "1", kind: "main" }),
    button("Done, and it still fails", () => page.happened({ type: "repaired", repair: id }), { key: "2" }),
  ];
}

/** Nothing is found, or nothing that is known here. */
function nothingScreen(page) {
  const { book, now: { job, next } } = page;
  const title = book.repairs[next.leading].title;
  const how = next.kind === "nothing-found" ? "nothing" : "left";
  return [
    heading(title),
    pairsNote(page),
    listed(puttingBack(book, setupNow(book, job), how === "nothing"), "ol", "Before you leave"),
    besides(page),
    button("Close the job", () => page.close({ how }), { key: "1", kind: "main" }),
    button("Look further", page.further, { key: "2" }),
    button("Run another call for heat", () => page.happened({ type: "called-again" }), { key: "c" }),
    row(button("Suspects", () => page.show("suspects"), { key: "p" }), button("Back", page.back, { key: "b" })),
    button("I repaired something", () => page.show("repairs"), { key: "r" }),
    button("The record", () => page.show("record"), { key: "k" }),
  ];
}

/** What the page does not reckon with. */
function pairsNote({ book, now: { advice } }) {
  if (!wantsPairs(book, advice.belief)) return null;
  return paragraph("Two faults at once may explain this better. This page knows one at a time: "
    + "have the record read in where the whole program runs.", "warn");
}

/** What must be done besides, and what is still to be put right. */
function besides({ book, now: { job, advice } }) {
  const duties = said(advice, "oblige").map(({ text }) => text);
  return [
    listed(duties, "ul", "Besides"),
    listed(openItems(book, job, advice), "ul", "Still open"),
  ];
}
