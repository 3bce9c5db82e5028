// What each way on is expected to cost in the end: a check first, a repair first, stopping.

/** The ways on from a problem of all checks, of which some may be done, best first. */
function lookAhead(book, problem, bestFirst) {
  const some = onlyChecks(problem, bestFirst.slice(0, book.figures.mostChecks));
  return exactWays(book, some) ?? roughWays(book, some);
}

function roughWays(book, some) {
  const ahead = aheadIn(book, some);
  const checks = new Map();
  for (const first of firstChecks(book, some)) checks.set(some.checks[first], rollout(ahead, first));
  return { checks, ...stopping(ahead) };
}

/** Price of a certain check first, worked out as in looking ahead. */
function pricedCheck(book, problem, bestFirst, wanted) {
  const best = bestFirst.slice(0, book.figures.mostChecks);
  const some = onlyChecks(problem, best.includes(wanted) ? best : [...best, wanted]);
  const exact = exactWays(book, some);
  if (exact !== null && exact.checks.has(wanted)) return exact.checks.get(wanted);
  return rollout(aheadIn(book, some), some.checks.indexOf(wanted));
}

/** The checks worth trying as the first, of those ranked by EC2 per minute. */
function firstChecks(book, problem) {
  const { firsts, firstsByPrice, manySuspects } = book.figures;
  const every = problem.prices.map((_, check) => check);
  if (effectiveSuspects(problem) > manySuspects) return every.slice(0, 1);
  if (every.length <= firsts + firstsByPrice) return every;
  const rest = every.slice(firsts);
  const prices = rest.map((check) => oneStep(problem, check));
  const cheap = ranked(prices).slice(0, firstsByPrice).map((place) => rest[place]);
  return [...every.slice(0, firsts), ...cheap];
}

/** How many equally likely hypotheses would leave as much in doubt. */
function effectiveSuspects(problem) {
  let bits = 0;
  for (const share of problem.shares) if (share > 0) bits -= share * Math.log(share);
  return Math.exp(bits);
}

/** Expected price of a check, and of stopping then. */
function oneStep(problem, check) {
  const here = rootOf(problem);
  let then = 0;
  for (const { chance, state } of branchesOf(problem, here, check)) {
    then += chance * stopPrice(problem, state.shares);
  }
  return checkPrice(problem, check, here.setup) + then;
}

/** Price of the best way without a check now, and its first repair. */
function stopping(ahead) {
  const { book, problem } = ahead;
  const shares = byRepair(problem, problem.shares);
  let stop = dot(shares, problem.plan.giveUp);
  let repair = null;
  const order = repairOrder(problem.plan, shares);
  const atOnce = planCost(problem.plan, shares);
  if (order.length && isLess(atOnce, stop)) [stop, repair] = [atOnce, problem.plan.ids[order[0]]];
  const likely = order.filter((each) => steady(shares[each]) >= steady(book.figures.worthTrying));
  for (const first of likely.slice(0, book.figures.firstRepairs)) {
    const price = repairThenChecks(ahead, shares, first);
    if (isLess(price, stop)) [stop, repair] = [price, problem.plan.ids[first]];
  }
  return { stop, repair };
}

/** Price of one repair and, if it does not cure, of going on by the rule. */
function repairThenChecks(ahead, shares, repair) {
  const { problem } = ahead;
  const fails = 1 - shares[repair];
  const price = problem.plan.minutes[repair] + problem.plan.wrong * fails;
  if (fails <= 1e-9) return price;
  const left = problem.shares.map((each, place) => (problem.number[place] === repair ? 0 : each / fails));
  const then = { ...rootOf(problem), shares: left, reach: fails, setup: problem.arrival, path: [`repair ${repair}`] };
  return price + fails * goingOn(ahead, then);
}

/** The ways on by exact dynamic programming; null if too much is left for that. */
function exactWays(book, some) {
  const few = simplerOf(book, some);
  if (few === null || few.problem.prices.length > book.figures.fewChecks) return null;
  const solution = solved(book, few.problem);
  if (solution === null) return null;
  const checks = new Map();
  for (const [check, price] of solution.checks) checks.set(few.problem.checks[check], price);
  for (const [double, { kept, dearer }] of few.doubles) {
    if (checks.has(kept)) checks.set(double, checks.get(kept) + dearer);
  }
  let [stop, repair] = [solution.giveUp, null];
  for (const [each, price] of solution.repairs) {
    if (isLess(price, stop)) [stop, repair] = [price, few.problem.plan.ids[each]];
  }
  return { checks, stop, repair };
}
