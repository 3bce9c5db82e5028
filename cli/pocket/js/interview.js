// What comes next in a job: make safe, hear the customer, look round, watch a call, measure.
//
// Rules decide what may be asked; information decides what is asked. Nothing comes after a stop.

/** What comes next, with what it rests on: {kind, ...}. */
function whatNext(book, job, advice) {
  const stops = said(advice, "stop");
  if (stops.length) return { kind: "stop", stops };
  const signs = book.checks.filter((check) => check.phase === "make-safe");
  const answers = counted(job.findings);
  if (signs.some((sign) => !answers.has(sign.id))) return { kind: "make-safe", signs };
  return nextStep(courseOf(book, job, advice));
}

/** A job on its way, behind make-safe. */
function courseOf(book, job, advice) {
  const heldBack = new Set(said(advice, "holdBack").map((each) => each.text));
  const { asked } = advice.belief;
  const may = (check) => !job.skipped.includes(check.id) && !heldBack.has(check.id)
    && !check.tools.some((tool) => job.lacks.includes(tool));
  return {
    book,
    job,
    advice,
    setup: setupNow(book, job),
    may,
    isOpen: (check) => may(check) && !asked.has(check.id),
    isDone: (check) => asked.has(check.id) || job.skipped.includes(check.id),
    of: (phase) => book.checks.filter((check) => check.phase === phase),
    forSafety: checksForSafety(book.rules),
  };
}

/** The first of what is still to come. */
function nextStep(course) {
  const { job } = course;
  const interviewed = job.interviewSkipped;
  let next = job.call ? stallsStep(course) : null;
  if (next === null && !interviewed) next = customerStep(course);
  if (next !== null) return next;
  const rest = narrowStep(course);
  if (interviewed || rest.kind !== "check") return rest;
  return firstLookStep(course) ?? watchStep(course) ?? rest;
}

function leading(course, among) {
  return withLeads(course.book, course.job, course.advice.belief, among);
}

/** A check that is due whatever it tells. */
function asking(course, check, phase, rule = null) {
  const changes = course.book.aspects.map((aspect) => aspect.minutes);
  const minutes = check.minutes + setupMinutes(changes, check.needs, course.setup);
  return { kind: "check", check, minutes, phase, rule };
}

/** The question that walks down the sequence. */
function stalls(course) {
  return course.of("watch").filter((check) => check.stalls);
}

/** Where a call for heat stalls. */
function stallsStep(course) {
  const check = stalls(course).find(course.isOpen);
  return check === undefined ? null : asking(course, check, "watch");
}

/** The first that rules want to be made next. */
function wantedByRules(course, checks, phase) {
  for (const { text, rule } of said(course.advice, "ask")) {
    const check = checks.find((each) => each.id === text);
    if (check !== undefined && course.isOpen(check)) return asking(course, check, phase, rule);
  }
  return null;
}

/** What happens, in the customer's words; then the history; then the house. */
function customerStep(course) {
  const own = course.of("customer");
  const wanted = wantedByRules(course, own, "customer");
  if (wanted !== null || hasBegunToLook(course)) return wanted;
  const order = (check) => (check.stalls && !check.provokes ? 0 : check.told ? 1 : 2);
  const open = own.filter(course.isOpen).sort((a, b) => order(a) - order(b));
  const gains = gainsOf(leading(course, open));
  const { worthAsking } = course.book.figures;
  const check = open.find((each) => course.forSafety.has(each.id) || !isLess(gains.get(each.id), worthAsking));
  return check === undefined ? null : asking(course, check, "customer");
}

/** Share of the doubt that each check is expected to settle. */
function gainsOf(belief) {
  const { table } = belief;
  const separation = separationOf(table.chances, table.width, table.start, table.repairs.number);
  const gains = gainShares(separation, belief.shares);
  return new Map(table.checks.map((check, index) => [check.id, gains[index]]));
}

/** Whether a check past the customer's words was asked for; what was told is not. */
function hasBegunToLook(course) {
  const past = (id) => course.book.pastTheCustomer.includes(course.book.checkOf.get(id).phase);
  const { repaired, checksDone, skipped } = course.job;
  return repaired.length > 0 || checksDone.some(past) || skipped.some(past);
}

/** All round the furnace, until little is left to be seen, or the call was watched. */
function firstLookStep(course) {
  const own = course.of("first-look");
  const { firstLooks } = course.book.figures;
  if (own.filter(course.isDone).length >= firstLooks || stalls(course).some(course.isDone)) return null;
  const safety = own.find((check) => course.forSafety.has(check.id) && course.isOpen(check));
  return safety === undefined ? bestOf(course, own, "first-look") : asking(course, safety, "first-look");
}

/** One call: where it stalls first, then what tells most about it. */
function watchStep(course) {
  const first = stallsStep(course);
  const own = course.of("watch");
  if (first !== null || own.filter(course.isDone).length >= course.book.figures.watched) return first;
  return bestOf(course, own, "watch");
}

/** Those that rules want, then the one that tells most per minute, if it tells enough. */
function bestOf(course, checks, phase) {
  const wanted = wantedByRules(course, checks, phase);
  if (wanted !== null) return wanted;
  const { book } = course;
  const may = (check) => checks.includes(check) && course.may(check)
    && check.tools.every((tool) => book.atHand.includes(tool));
  const decision = lookFurther(book, leading(course, checks), course.setup, may);
  if (decision === null || isLess(decision.gain, book.figures.worthALook)) return null;
  return { ...decision, phase, rule: null };
}

/** What still tells suspects apart, with all tools, or what to do about them. */
function narrowStep(course) {
  const { book, job } = course;
  const never = job.interviewSkipped ? ["make-safe", "customer"] : ["make-safe"];
  const among = book.checks.filter((check) => !never.includes(check.phase));
  const wanted = wantedByRules(course, among, "narrow");
  if (wanted !== null) return wanted;
  const decision = decide(book, course.advice.belief, course.setup, course.may);
  return decision.kind === "check" ? { ...decision, phase: "narrow", rule: null } : decision;
}

/** Everything about a job after some events: what is known, and what comes next. */
function standing(book, events) {
  const job = replayed(book, events);
  const advice = advise(book, book.chances, job);
  return { job, advice, next: whatNext(book, job, advice) };
}

/** A book ready to be used: with its table, and its checks by id. */
function opened(book) {
  const ready = {
    ...book,
    checkOf: new Map(book.checks.map((check) => [check.id, check])),
    figuresMatter: checksWithFigures(book.rules),
  };
  return { ...ready, chances: tableOf(ready) };
}
