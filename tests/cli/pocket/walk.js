/**
 * A job as it may happen: the page's own questions answered as a hidden fault would have it,
 * with steps taken back, skipped, not known, repairs that fail, and further calls.
 */
function walked(seed, steps) {
  let state = seed;
  const random = () => {
    state = (state + 0x6d2b79f5) | 0;
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state);
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed;
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4294967296;
  };
  const drawn = (weights) => {
    let left = random() * sum(weights);
    const place = weights.findIndex((each) => (left -= each) < 0);
    return place < 0 ? weights.length - 1 : place;
  };
  const table = BOOK.chances;
  const truth = drawn(table.hypotheses.map((each) => each.prior));

  const answer = (check) => {
    const at = table.place.get(check.id);
    const rows = check.outcomes.map((_, place) => table.chances[(table.start[at] + place) * table.width + truth]);
    const outcome = check.outcomes[drawn(rows)];
    const { low, high } = outcome;
    if (check.unit && outcome.id !== check.notReached && (low !== null || high !== null) && random() < 0.7) {
      const [from, to] = [low ?? high - Math.abs(high) - 1, high ?? low + Math.abs(low) + 1];
      const unit = check.units.find((each) => each.name === check.unit);
      const figure = ((from + random() * (to - from) - unit.zero) / unit.factor).toPrecision(4);
      const read = understood(check, String(Number(figure)), check.unit);
      if (!read.refusal && !read.entered.includes("e")) return { outcome: read.outcome, entered: read.entered };
    }
    return { outcome: outcome.id, entered: outcome.id };
  };

  const finding = (check) => ({ type: "finding", time: "t", check: check.id, ...answer(check) });
  const lacks = random() < 0.3 ? Object.keys(BOOK.tools).filter(() => random() < 0.15) : [];
  const licence = random() < 0.8 ? "gas" : "none";
  const events = [{ type: "started", time: "t", furnace: BOOK.furnace.id, version: "0", lacks, licence }];
  for (let step = 0; step < steps; step += 1) {
    const { next } = standing(BOOK, events);
    const chance = random();
    if (next.kind === "stop") break;
    if (next.kind === "make-safe") {
      next.signs.forEach((sign) => events.push({ type: "finding", time: "t", check: sign.id,
        outcome: random() < 0.01 ? "yes" : "no", entered: "n" }));
    } else if (chance < 0.03) events.push({ type: "undone", time: "t" });
    else if (chance < 0.05) events.push({ type: "interview-skipped", time: "t" });
    else if (chance < 0.07) events.push({ type: "called-again", time: "t" });
    else if (chance < 0.1) {
      const other = BOOK.checks[Math.floor(random() * BOOK.checks.length)];
      events.push({ ...finding(other), unasked: true });
    } else if (next.kind !== "check") {
      if (next.repair === null) break;
      events.push({ type: "repaired", time: "t", repair: next.repair });
    } else if (chance < 0.14) events.push({ type: "skipped", time: "t", check: next.check.id });
    else if (chance < 0.2) {
      events.push({ type: "finding", time: "t", check: next.check.id, outcome: null, entered: "?" });
    } else events.push(finding(next.check));
  }
  const { advice, next } = standing(BOOK, events);
  return {
    events,
    suspects: suspectsOf(advice.belief).map(({ id, share }) => [id, share]),
    next: [next.kind, next.check?.id ?? next.repair ?? null],
    open: openItems(BOOK, replayed(BOOK, events), advice),
    promising: arePromising(BOOK, advice.belief),
  };
}
