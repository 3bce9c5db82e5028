// Which check next, or repair now: whatever is expected to cost least in the end.

/** All figures that a decision rests on, but for what looking ahead adds. */
function assess(book, belief, setup) {
  const problem = problemOf(book, belief, setup);
  const gains = gainShares(separationIn(problem), problem.shares);
  const minutes = belief.table.checks.map(
    (check) => check.minutes + setupMinutes(problem.changes, check.needs, setup));
  return {
    repairs: repairShares(belief),
    problem,
    gains,
    minutes,
    prices: minutes.map((each, check) => each + belief.table.checks[check].hazardMinutes),
    repairNow: stopPrice(problem, problem.shares),
  };
}

/** What to do next, of the checks that may be done. */
function decide(book, belief, setup, may) {
  const figures = assess(book, belief, setup);
  const ways = lookAhead(book, figures.problem, byRate(book, belief, figures, may));
  const best = Math.min(...ways.checks.values());
  if (ways.checks.size && isLess(best, ways.stop - book.figures.worthMinutes)) {
    const numbers = [...ways.checks.keys()];
    const order = ranked([...ways.checks.values()]).map((place) => numbers[place]);
    return checkDecision(belief, figures, saferFirst(book, belief, figures, order)[0]);
  }
  return repairDecision(book, figures, ways);
}

/** The check that tells most for its price, worth it or not; null if none tells anything. */
function lookFurther(book, belief, setup, may) {
  const figures = assess(book, belief, setup);
  const order = byRate(book, belief, figures, may);
  return order.length ? checkDecision(belief, figures, saferFirst(book, belief, figures, order)[0]) : null;
}

/** Checks that can still tell anything and may be done, by EC2 weight cut per minute. */
function byRate(book, belief, figures, may) {
  const able = belief.table.checks.map((_, index) => index).filter((index) => {
    const check = belief.table.checks[index];
    return !belief.asked.has(check.id) && may(check) && isLess(book.figures.separates, figures.gains[index]);
  });
  const rates = able.map((index) => -figures.gains[index] / Math.max(figures.prices[index], Number.MIN_VALUE));
  return ranked(rates).map((place) => able[place]);
}

/** A test on live parts gives way to a safer check that tells as much for like effort. */
function saferFirst(book, belief, { gains, minutes }, order) {
  const { asMuch, comparableShare, comparableMinutes } = book.figures;
  const isLive = (index) => belief.table.checks[index].live;
  if (!order.length || !isLive(order[0])) return order;
  const most = steady(minutes[order[0]] * comparableShare + comparableMinutes);
  const least = steady(asMuch * gains[order[0]]);
  const safer = order.find((index) =>
    !isLive(index) && steady(gains[index]) >= least && steady(minutes[index]) <= most);
  return safer === undefined ? order : [safer, ...order.filter((index) => index !== safer)];
}

function checkDecision(belief, figures, index) {
  return {
    kind: "check",
    check: belief.table.checks[index],
    gain: figures.gains[index],
    minutes: figures.minutes[index],
    repairNow: figures.repairNow,
  };
}

function repairDecision(book, { repairs, repairNow }, ways) {
  const [leading] = repairs[0];
  const { noFault, somethingElse } = book.figures;
  let kind = "repair";
  if (leading === noFault) kind = "nothing-found";
  else if (leading === somethingElse || ways.repair === null) kind = "refer";
  const repair = kind === "repair" ? ways.repair : null;
  const share = repairs.find(([id]) => id === (repair ?? leading))[1];
  return { kind, repair, leading, share, repairNow };
}

/** What each outcome of a check would do: {gain, minutes, repairNow, repairAfter, outcomes}. */
function whyCheck(book, belief, setup, check) {
  const figures = assess(book, belief, setup);
  const index = belief.table.place.get(check.id);
  const order = byRate(book, belief, figures, () => true);
  const { width, start, chances } = belief.table;
  return {
    gain: figures.gains[index],
    minutes: figures.minutes[index],
    repairNow: figures.repairNow,
    repairAfter: pricedCheck(book, figures.problem, order, index),
    outcomes: check.outcomes.map((outcome, place) => {
      const row = chances.subarray((start[index] + place) * width, (start[index] + place + 1) * width);
      const chance = dot(row, belief.shares);
      const then = chance > 0 ? repairShares(given(book, belief, check.id, outcome.id)) : [];
      return { outcome, chance, leading: then.slice(0, 2) };
    }),
  };
}
