// Findings -> probability of every hypothesis: an exact Bayesian update in log space.
//
// A job falls into periods. Within one, the furnace and what shows of its faults stay the
// same; a new call for heat or a repair begins the next. A finding tells of its own period.

/** What is known given findings, repairs that did not cure, and leanings, in a call. */
function posterior(book, table, findings, repaired, leanings, call) {
  const weights = Float64Array.from(table.logPrior, (each, index) => each + leanings[index]);
  let now = call;
  for (const period of periodsOf(book, table, findings, repaired, call)) {
    enter(book, table, period, weights);
    const told = toldIn(table, period.findings);
    for (let each = 0; each < weights.length; each += 1) weights[each] += told[each];
    now = period.call;
  }
  const asked = askedOf(table, findings, repaired, now);
  return { table, weights, shares: sharesOf(weights), findings, repaired, leanings, call: now, asked };
}

/** P(hypothesis), sum 1. */
function sharesOf(weights) {
  const top = Math.max(...weights);
  if (!Number.isFinite(top)) throw new Error("No suspect allows what was found.");
  const shares = weights.map((each) => Math.exp(each - top));
  const whole = sum(shares);
  return shares.map((each) => each / whole);
}

/** The job so far, period by period; there is at least one. */
function periodsOf(book, table, findings, repaired, call) {
  const made = new Map();
  for (const each of latestOfLasting(table, findings)) {
    const done = Math.min(each.repairs, repaired.length);
    if (!made.has(done)) made.set(done, new Map());
    const calls = made.get(done);
    if (!calls.has(each.call)) calls.set(each.call, []);
    calls.get(each.call).push(each);
  }
  const now = Math.max(call, ...[...made.values()].flatMap((calls) => [...calls.keys()]));
  const found = [];
  for (let done = 0; done <= repaired.length; done += 1) {
    const calls = made.get(done) ?? new Map();
    const numbers = new Set(calls.keys());
    if (done === repaired.length) numbers.add(now);
    if (!numbers.size) numbers.add(0);
    [...numbers].sort((a, b) => a - b).forEach((number, place) => {
      found.push({
        call: number,
        repairs: done,
        findings: [...counted(calls.get(number) ?? []).values()],
        begins: !found.length,
        repair: done && !place ? newRepair(repaired.slice(0, done)) : null,
      });
    });
  }
  return found;
}

/** The last of some repairs; "" if it was told before: that tells nothing new. */
function newRepair(done) {
  const last = done[done.length - 1];
  return done.indexOf(last) < done.length - 1 ? "" : last;
}

/** The findings without those made again where another call changes nothing. */
function latestOfLasting(table, findings) {
  const key = (each) => `${each.check} ${each.repairs}`;
  const lasts = (each) => table.checks[table.place.get(each.check)].lasting;
  const latest = new Map();
  for (const each of findings) if (lasts(each) && each.outcome !== null) latest.set(key(each), each);
  return findings.filter((each) => !latest.has(key(each)) || latest.get(key(each)) === each);
}

/** Check -> the finding on it that counts: the latest that is not "don't know". */
function counted(findings) {
  const found = new Map();
  for (const each of findings) if (each.outcome !== null) found.set(each.check, each);
  return found;
}

/**
 * Log weights on entering a period. Whether a fault that comes and goes shows is drawn anew in
 * each call: the weights of its two hypotheses are put together and divided again.
 */
function enter(book, table, period, weights) {
  if (period.begins) return;
  if (period.repair) {
    const factor = Math.log(book.figures.notCured);
    table.hypotheses.forEach((each, index) => {
      if (each.repair === period.repair) weights[index] += factor;
    });
  }
  for (const { shown, hidden, shows } of table.comesAndGoes) {
    const together = logAddExp(weights[shown], weights[hidden]);
    weights[shown] = together + Math.log(shows);
    weights[hidden] = together + Math.log1p(-shows);
  }
}

/** Log P(findings | hypothesis), summed in the order of the table. */
function toldIn(table, findings) {
  const told = new Float64Array(table.width);
  const rows = findings.map((each) => rowOf(table, each.check, each.outcome)).sort((a, b) => a - b);
  for (const row of rows) {
    for (let each = 0; each < table.width; each += 1) {
      told[each] += table.logs[row * table.width + each];
    }
  }
  return told;
}

/** Checks not to be asked again now. */
function askedOf(table, findings, repaired, call) {
  const done = repaired.length;
  const asked = new Set();
  for (const each of findings) {
    const check = table.checks[table.place.get(each.check)];
    const present = each.repairs >= done && (each.call >= call || check.lasting);
    if (each.outcome === null || check.told || present) asked.add(each.check);
  }
  return asked;
}

/** The belief with one more finding, made now. */
function given(book, belief, check, outcome) {
  const finding = { check, outcome, call: belief.call, repairs: belief.repaired.length, entered: "" };
  const findings = [...belief.findings, finding];
  return posterior(book, belief.table, findings, belief.repaired, belief.leanings, belief.call);
}

/** Repairs with their probability, likeliest first: [[repair, share], ...]. */
function repairShares(belief) {
  const { ids, number } = belief.table.repairs;
  const shares = new Float64Array(ids.length);
  belief.shares.forEach((share, index) => { shares[number[index]] += share; });
  return ranked(shares.map((each) => -each)).map((place) => [ids[place], shares[place]]);
}

/** Suspects as a person sees them, likeliest first: {id, faults, repair, share}. */
function suspectsOf(belief) {
  const found = new Map();
  belief.table.hypotheses.forEach((each, index) => {
    const id = each.faults.join("+") || each.id;
    if (!found.has(id)) found.set(id, { id, faults: each.faults, repair: each.repair, share: 0 });
    found.get(id).share += belief.shares[index];
  });
  return [...found.values()].sort((a, b) => b.share - a.share);
}
