// A smaller problem with the same best way on, as nearly as matters.

/** The likely suspects, and the checks that tell them apart; null if there are more. */
function simplerOf(book, problem) {
  const { fewSuspects, unlikelySuspects, unlikelyAnswer } = book.figures;
  const order = ranked(problem.shares.map((each) => -each));
  const enough = reaching(order.map((each) => problem.shares[each]), 1 - unlikelySuspects);
  if (enough > fewSuspects) return null;
  const few = onlySuspects(problem, order.slice(0, enough).sort((a, b) => a - b));
  plan(few, unlikelyAnswer);
  const { kept, doubles } = distinctChecks(book, few);
  return { problem: onlyChecks(few, kept), doubles };
}

function onlySuspects(problem, kept) {
  const whole = sum(kept.map((each) => problem.shares[each]));
  const first = kept.map((_, place) => place)
    .filter((place) => !place || problem.number[kept[place]] !== problem.number[kept[place - 1]]);
  const rows = problem.start[problem.start.length - 1];
  const chances = new Float64Array(rows * kept.length);
  for (let row = 0; row < rows; row += 1) {
    kept.forEach((each, place) => {
      chances[row * kept.length + place] = problem.chances[row * problem.width + each];
    });
  }
  return grouped({
    ...problem,
    shares: Float64Array.from(kept, (each) => problem.shares[each] / whole),
    first,
    chances,
    plan: onlyRepairs(problem.plan, first.map((place) => problem.number[kept[place]])),
  });
}

/** Unlikely answers are mistakes: they happen, but are not planned for. */
function plan(problem, unlikely) {
  const { chances, start, width } = problem;
  for (let check = 0; check < start.length - 1; check += 1) {
    for (let each = 0; each < width; each += 1) {
      let whole = 0;
      for (let row = start[check]; row < start[check + 1]; row += 1) {
        if (chances[row * width + each] < unlikely) chances[row * width + each] = 0;
        whole += chances[row * width + each];
      }
      for (let row = start[check]; row < start[check + 1]; row += 1) chances[row * width + each] /= whole;
    }
  }
}

/** Checks that tell something, the cheapest of those that tell alike; and the others. */
function distinctChecks(book, problem) {
  const minutes = problem.prices.map((_, check) => checkPrice(problem, check, problem.setup));
  const kept = new Map();
  const doubles = new Map();
  for (const check of ranked(minutes)) {
    const own = sortedRows(problem, check);
    if (!own.some((row) => Math.max(...row) - Math.min(...row) >= book.figures.alike)) continue;
    const same = [...kept].find(([, rows]) => areAlike(own, rows, book.figures.alike));
    if (same === undefined) kept.set(check, own);
    else {
      const dearer = minutes[check] - minutes[same[0]];
      doubles.set(problem.checks[check], { kept: problem.checks[same[0]], dearer });
    }
  }
  return { kept: [...kept.keys()].sort((a, b) => a - b), doubles };
}

/** The rows of a check that can happen, in an order that does not depend on their names. */
function sortedRows(problem, check) {
  const rows = [];
  for (let row = problem.start[check]; row < problem.start[check + 1]; row += 1) {
    const own = problem.chances.subarray(row * problem.width, (row + 1) * problem.width);
    if (Math.max(...own) > 0) rows.push(own);
  }
  return rows.sort((one, other) => {
    for (let each = problem.width - 1; each >= 0; each -= 1) {
      if (one[each] !== other[each]) return one[each] - other[each];
    }
    return 0;
  });
}

function areAlike(one, other, alike) {
  return one.length === other.length
    && one.every((row, place) => row.every((each, at) => Math.abs(each - other[place][at]) < alike));
}
