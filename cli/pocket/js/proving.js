// Proving a repair: thing by thing, then how the job is closed.

/** The next thing to be proved, what to do about one that is not good, or the end. */
function provingScreen(page) {
  const { book, now: { job } } = page;
  const failed = page.failed && job.proofs.get(page.failed);
  if (failed?.verdict === "out") return failedScreen(page, page.failed);
  const listedItems = book.proofs.by[job.toProve] ?? [];
  const next = listedItems.find((id) => !job.proofs.has(id));
  return next === undefined ? provedScreen(page, listedItems) : proofScreen(page, next, listedItems);
}

function proofScreen(page, id, all) {
  const { book, now: { job, advice } } = page;
  const item = book.proofs.items[id];
  const take = (outcome, entered) => page.proved(id, proofEvent(book, id, outcome, entered));
  const putBack = job.proofs.size ? [] : puttingBack(book, setupNow(book, job), true);
  const open = item.clears ? openItems(book, job, advice) : [];
  return [
    paragraph(`Prove it, ${all.findIndex((each) => each === id) + 1} of ${all.length}: `
      + `${item.title} (${minutesInWords(item.minutes)})`, "note"),
    listed([...putBack, ...item.setup], "ol", "First"),
    cautionBox(book, item.check.hazards, page.told),
    heading(item.check.ask),
    listed([...item.check.how, ...open], "ol"),
    paragraph(`Good: ${item.goodInWords}.${item.expected ? ` A sound one reads about ${item.expected}.` : ""}`),
    answers(item.check, take, page.say),
    reasonForm(page, "Not done, because", (reason) => page.proved(id, {
      type: "proved", proof: id, check: item.check.id, outcome: null, verdict: "not-done", reason,
    })),
    row(button("Back", page.back, { key: "b" }), button("The record", () => page.show("record"), { key: "k" })),
    closingForms(page),
  ];
}

/** What was tried, with its verdict: the ends of what is good are good. */
function proofEvent(book, id, outcome, entered) {
  const { check, good } = book.proofs.items[id];
  const figure = check.unit ? readingIn(check, entered) : null;
  const isWithin = ({ low, high }) =>
    figure >= (low ?? -Infinity) && figure <= (high ?? Infinity) * book.figures.atTheEnd;
  const atEnd = figure === null ? undefined : check.outcomes.find((each) => good.includes(each.id) && isWithin(each));
  const found = good.includes(outcome) ? outcome : atEnd?.id ?? outcome;
  const verdict = good.includes(found) ? "good" : "out";
  return { type: "proved", proof: id, check: check.id, outcome: found, verdict, entered };
}

function failedScreen(page, id) {
  const { book, now: { job } } = page;
  const item = book.proofs.items[id];
  return [
    heading(`Not good: ${item.title}`),
    paragraph(answered(item.check, job.proofs.get(id))),
    paragraph(`Good: ${item.goodInWords}.`),
    paragraph(item.out),
    button("Put right, try it again", page.back, { key: "1", kind: "main" }),
    button("The cause is still there: look on", () => page.happened({ type: "repaired", repair: job.toProve }), { key: "2" }),
    button("Leave it so, go on", () => page.proved("", null), { key: "3" }),
  ];
}

/** All was tried. */
function provedScreen(page, all) {
  const { book, now: { job, advice } } = page;
  const failing = all.filter((id) => job.proofs.get(id).verdict !== "good");
  const open = openItems(book, job, advice);
  const again = failing.map((id) => button(`Try again: ${book.proofs.items[id].title}`, () => page.again(id)));
  const items = open.map((item) => button(`Put right: ${item}`, () => page.happened({ type: "cleared", item })));
  const isProven = !failing.length && !open.length;
  return [
    heading(isProven ? `All ${all.length} are good` : "Not proved yet"),
    again,
    items,
    besides(page),
    isProven ? button("Close the job as proved",
      () => page.close({ how: "found", repair: job.toProve, proof: "proven" }), { key: "1", kind: "main" }) : null,
    row(button("Back", page.back, { key: "b" }), button("The record", () => page.show("record"), { key: "k" })),
    isProven ? null : closingForms(page),
  ];
}

/** The two other ways to close: not proved, or shut down; each with its reason. */
function closingForms(page) {
  const { toProve } = page.now.job;
  return element("details", {}, element("summary", {}, "Close without proof"),
    reasonForm(page, "Close unproven, because",
      (reason) => page.close({ how: "found", repair: toProve, proof: "unproven", reason })),
    reasonForm(page, "Shut down and tagged, because",
      (reason) => page.close({ how: "left", proof: "tagged", reason })));
}

/** A field for a reason, without which nothing happens. */
function reasonForm(page, label, act) {
  const name = label.toLowerCase().replaceAll(/[^a-z]+/g, "-");
  const reason = field(label, { name, autocomplete: "off", maxlength: "200" });
  const enter = (event) => {
    event.preventDefault();
    const text = reason.typed.value.trim();
    if (text) act(text);
    else page.say("Say why first.");
  };
  return element("form", { onsubmit: enter }, reason.shown, element("button", { type: "submit" }, "Enter"));
}

/** The end of a job: what is left to do, and the record. */
function closedScreen(page) {
  const { book, events, now: { job } } = page;
  const { how, stopped, proof } = job.closed;
  const runs = proof === "proven" || proof === "unproven" || how === "nothing";
  return [
    heading(closedInWords(book, job.closed)),
    cautionBox(book, stopped ?? [], new Set()),
    job.proofs.size ? null : listed(puttingBack(book, setupNow(book, job), runs), "ol", "Before you leave"),
    besides(page),
    recordBox(page, events),
    button("Another job", () => page.show("start"), { kind: "main" }),
  ];
}
