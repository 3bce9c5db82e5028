// A job: what happened in it, and where it stands then.

/** Where a job stands after its events; `undone` takes the last thing back. */
function replayed(book, events) {
  const standing = [];
  for (const event of events) {
    if (event.type !== "undone") standing.push(event);
    else if (canBeUndone(standing[standing.length - 1])) standing.pop();
  }
  const [started] = standing;
  const job = {
    started,
    lacks: started.lacks ?? [],
    licence: started.licence ?? "gas",
    findings: [],
    skipped: [],
    repaired: [],
    checksDone: [],
    call: 0,
    interviewSkipped: false,
    cleared: new Map(),
    toProve: "",
    proofs: new Map(),
    closed: null,
    notes: [],
  };
  standing.slice(1).forEach((event) => AFTER[event.type](job, event));
  return job;
}

function canBeUndone(event) {
  return event !== undefined && event.type !== "started" && event.type !== "closed";
}

/** Type of event -> what it changes. */
const AFTER = {
  finding(job, { check, outcome, entered, unasked }) {
    const repairs = job.repaired.length;
    job.findings.push({ check, outcome, entered: entered ?? "", call: job.call, repairs });
    if (!unasked) job.checksDone.push(check);
  },
  skipped(job, { check }) { job.skipped.push(check); },
  repaired(job, { repair }) {
    job.repaired.push(...repair.split("+"));
    job.checksDone = [];
    job.call += 1;
    job.toProve = "";
    job.proofs.clear();
  },
  "called-again"(job) { job.call += 1; },
  "interview-skipped"(job) { job.interviewSkipped = true; },
  cleared(job, { item }) { job.cleared.set(item, job.findings.length); },
  noted(job, event) { job.notes.push(event); },
  cured(job, { repair }) {
    job.toProve = repair;
    job.proofs.clear();
  },
  proved(job, event) { job.proofs.set(event.proof, event); },
  closed(job, event) { job.closed = event; },
};

/** Door, power, leads, ... as the checks done so far have left them: a state of each aspect. */
function setupNow(book, job) {
  let setup = book.aspects.map((aspect) => aspect.start);
  for (const id of job.checksDone) setup = setupAfter(book.checkOf.get(id).needs, setup);
  return setup;
}

/** What must be put right before the job may be closed. */
function openItems(book, job, advice) {
  const opened = [];
  job.findings.forEach((finding, index) => {
    const check = book.checkOf.get(finding.check);
    if (check.opens && finding.outcome !== null) opened.push([check.opens, index + 1]);
  });
  for (const { text, rule } of said(advice, "leaveOpen")) {
    const latest = foundBy(rule, advice.fired).map((check) => lastFound(job, check));
    opened.push([text, Math.max(0, ...latest)]);
  }
  const still = opened.filter(([item, since]) => since > (job.cleared.get(item) ?? -1));
  return [...new Set(still.map(([item]) => item))];
}

function lastFound(job, check) {
  return job.findings.findLastIndex((each) => each.check === check) + 1;
}

/** The checks whose answers a rule rests on, itself or through facts derived from them. */
function foundBy(rule, fired) {
  const pending = [rule];
  const seen = new Set(pending);
  const checks = [];
  while (pending.length) {
    for (const condition of pending.pop().when) {
      if (condition.subject === "found") checks.push(condition.name);
      if (condition.subject !== "fact") continue;
      for (const each of fired) {
        if (!seen.has(each) && each.derives.includes(condition.name)) {
          seen.add(each);
          pending.push(each);
        }
      }
    }
  }
  return checks;
}
