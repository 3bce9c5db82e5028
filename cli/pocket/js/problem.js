// What is left of a diagnosis, as arrays for looking ahead: likely hypotheses, all checks.

/**
 * Suspects, checks with their prices, and what stopping costs. Hypotheses that need the same
 * repair stand together; `first` is where each repair begins.
 */
function problemOf(book, belief, setup) {
  const { table, shares } = belief;
  const order = ranked(shares.map((each) => -each));
  const enough = reaching(order.map((each) => shares[each]), 1 - book.figures.unlikely);
  const likely = order.slice(0, Math.min(enough, book.figures.mostHypotheses)).sort((a, b) => a - b);
  const number = table.repairs.number;
  const kept = likely.sort((a, b) => number[a] - number[b] || a - b);
  const first = kept.map((_, place) => place)
    .filter((place) => !place || number[kept[place]] !== number[kept[place - 1]]);
  const whole = sum(kept.map((each) => shares[each]));
  const ids = first.map((place) => table.repairs.ids[number[kept[place]]]);
  return grouped({
    shares: Float64Array.from(kept, (each) => shares[each] / whole),
    first,
    chances: plannedChances(book, belief, kept),
    start: table.start,
    checks: table.checks.map((_, index) => index),
    prices: table.checks.map((check) => check.minutes + check.hazardMinutes),
    needs: table.checks.map((check) => check.needs),
    changes: book.aspects.map((aspect) => aspect.minutes),
    setup,
    arrival: book.aspects.map((aspect) => aspect.start),
    plan: planOf(book, ids, belief.repaired),
  });
}

/** A problem with which repair each hypothesis needs. */
function grouped(problem) {
  const number = [];
  problem.first.forEach((from, repair) => {
    const to = problem.first[repair + 1] ?? problem.shares.length;
    for (let each = from; each < to; each += 1) number.push(repair);
  });
  return { ...problem, number, width: number.length };
}

/**
 * P(outcome | hypothesis) to plan with. Nobody can plan to find what is not modelled: there
 * every answer is as likely as it is in all.
 */
function plannedChances(book, belief, kept) {
  const { table, shares } = belief;
  const rows = table.start[table.start.length - 1];
  const chances = new Float64Array(rows * kept.length);
  const unknown = kept.findIndex((each) => table.hypotheses[each].id === book.figures.somethingElse);
  const all = sum(kept.map((each, place) => (place === unknown ? 0 : shares[each])));
  const known = kept.map((each, place) => (place === unknown ? 0 : shares[each] / all));
  for (let row = 0; row < rows; row += 1) {
    const [from, to] = [row * table.width, row * kept.length];
    let whole = 0;
    for (let place = 0; place < kept.length; place += 1) {
      const chance = table.chances[from + kept[place]];
      chances[to + place] = chance;
      whole += chance * known[place];
    }
    if (unknown >= 0 && all > 0) chances[to + unknown] = whole;
  }
  return chances;
}

/** The same problem with some of its checks. */
function onlyChecks(problem, kept) {
  const { width } = problem;
  const start = [0];
  for (const each of kept) {
    start.push(start[start.length - 1] + problem.start[each + 1] - problem.start[each]);
  }
  const chances = new Float64Array(start[start.length - 1] * width);
  kept.forEach((each, place) => {
    const rows = problem.chances.subarray(problem.start[each] * width, problem.start[each + 1] * width);
    chances.set(rows, start[place] * width);
  });
  const prices = kept.map((each) => problem.prices[each]);
  return {
    ...problem,
    chances,
    start,
    checks: kept.map((each) => problem.checks[each]),
    prices,
    cheapest: Math.min(...prices),
    needs: kept.map((each) => problem.needs[each]),
  };
}

/** P(repair) from P(hypothesis). */
function byRepair(problem, shares) {
  const sums = new Float64Array(problem.first.length);
  for (let each = 0; each < shares.length; each += 1) sums[problem.number[each]] += shares[each];
  return sums;
}

/** Price of checking no further. */
function stopPrice(problem, shares) {
  return planCost(problem.plan, byRepair(problem, shares));
}

/** Price if the truth were told for nothing: no way of going on is cheaper. */
function knownPrice(problem, shares) {
  let price = 0;
  byRepair(problem, shares).forEach((share, repair) => { price += share * problem.plan.known[repair]; });
  return price;
}

/** Minutes to bring the set-up to what is needed; -1 needs nothing. */
function setupMinutes(changes, needs, setup) {
  let minutes = 0;
  for (let aspect = 0; aspect < needs.length; aspect += 1) {
    const needed = needs[aspect];
    if (needed >= 0 && needed !== setup[aspect]) minutes += changes[aspect][needed];
  }
  return minutes;
}

/** The set-up once a check with these needs is done. */
function setupAfter(needs, setup) {
  return setup.map((state, aspect) => (needs[aspect] >= 0 ? needs[aspect] : state));
}

/** Price of a check with the set-up as it is. */
function checkPrice(problem, check, setup) {
  return problem.prices[check] + setupMinutes(problem.changes, problem.needs[check], setup);
}
