// The page: one job at a time, kept event by event, and one screen that shows where it stands.

/** Open the book that came with the page, and show where the last job stands. */
async function begin() {
  const page = pageOf(opened(await unfolded(document.getElementById("book").textContent)));
  document.getElementById("danger").onclick = () => page.show("danger");
  document.addEventListener("keydown", pressed);
  const last = page.jobs[page.jobs.length - 1];
  const isOpen = last && understoodJob(page.book, last.events)?.job.closed === null;
  if (isOpen) page.take(last);
  else page.show("start");
}

/** An old browser cannot open the page: say so, and what to do. */
function cannotOpen(error) {
  document.getElementById("screen").replaceChildren(
    heading("This browser cannot open the page"),
    paragraph("It needs a browser of 2023 or later. Bring the browser up to date, or take another phone."),
    paragraph(String(error), "note"),
  );
}

/** What stands compressed in the page. */
async function unfolded(text) {
  const bytes = Uint8Array.from(atob(text.trim()), (each) => each.charCodeAt(0));
  const plain = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("deflate"));
  return JSON.parse(await new Response(plain).text());
}

/** What is shown, and everything a person can do about it. */
function pageOf(book) {
  const page = {
    book, jobs: keptJobs(book), place: "", events: [], now: null,
    screen: "start", about: null, repair: "", failed: "", told: new Set(), thought: new Map(),

    /** Begin a job. */
    begin(person) {
      const started = { type: "started", time: now(), furnace: book.furnace.id, version: book.version, ...person };
      page.take({ place: newPlace(book), events: [started] }, [book.standingNote]);
    },
    /** Go on with a job that is kept; `told` are the cautions that were just read in full. */
    take({ place, events }, told = []) {
      page.place = place;
      page.told = new Set(told);
      if (events.length === 1 || understoodJob(book, events)) return page.stand(events);
      page.events = events;
      page.now = null;
      return page.show("record");
    },
    /** Something happened: it is kept before the next thing is asked. */
    happened(...events) {
      page.stand([...page.events, ...events.map((event) => ({ time: now(), ...event }))]);
    },
    /** Take the last thing back. */
    back() {
      if (page.events.length > 1) page.happened({ type: "undone" });
    },
    close(closing) { page.happened({ type: "closed", ...closing }); },
    /** Something was proved or was not; null leaves what is not good as it is. */
    proved(id, event) {
      page.failed = id;
      if (event) page.happened(event, ...clearedBy(page, id, event));
      else page.show("");
    },
    /** Prove something once more. */
    again(id) {
      page.failed = "";
      page.now.job.proofs.delete(id);
      page.show("");
    },
    /** A repair that was not advised; "" for the one that is. */
    choose(id) {
      page.repair = id;
      page.show("");
    },
    /** One more check, worth its time or not. */
    further() {
      const { job, advice } = page.now;
      const course = courseOf(book, job, advice);
      const decision = lookFurther(book, advice.belief, course.setup, course.may);
      if (decision === null) return page.say("Nothing that is left to check would tell them apart.");
      page.repair = "";
      page.now = { ...page.now, next: { ...decision, phase: "narrow", rule: null } };
      return page.show("");
    },
    stand(events) {
      page.events = events;
      page.repair = "";
      const isKept = keep(page.place, events);
      page.now = page.thought.get(keyOf(book, events)) ?? standing(book, events);
      page.show("");
      thinkAhead(page);
      page.say(isKept ? "" : "This device keeps nothing: copy the record before you close the page.");
    },
    show(screen, about = null) {
      page.screen = screen || (page.now ? "" : "start");
      page.about = about;
      page.jobs = keptJobs(book);
      const shown = page.screen ? SIDE[page.screen](page) : jobScreen(page);
      document.getElementById("screen").replaceChildren(...shown.flat(3).filter((each) => each !== null));
      tellOnce(page);
      window.scrollTo(0, 0);
      document.querySelector("h1").focus({ preventScroll: true });
    },
    say(text) { document.getElementById("said").textContent = text; },
  };
  return page;
}

/** What being good puts right: all that had to be before the job may be closed. */
function clearedBy({ book, now: { job, advice } }, id, { verdict }) {
  if (verdict !== "good" || !book.proofs.items[id].clears) return [];
  return openItems(book, job, advice).map((item) => ({ type: "cleared", item }));
}

/** From the next question on, the cautions of this one are shown in short. */
function tellOnce(page) {
  const { now: at } = page;
  if (!at || page.screen) return;
  const check = at.next.check ?? { hazards: [] };
  [...check.hazards, ...said(at.advice, "caution").map(({ text }) => text)].forEach((id) => page.told.add(id));
}

/** The keys of the buttons, for whoever has a keyboard. */
function pressed(event) {
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  if (event.target.matches("input:not([type=checkbox]), select, textarea")) return;
  if (event.key === "!") return document.getElementById("danger").click();
  const wanted = [...document.querySelectorAll("#screen [data-key]")].find((each) => each.dataset.key === event.key);
  if (wanted) {
    event.preventDefault();
    wanted.click();
  }
}
