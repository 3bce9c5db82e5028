// Whether two faults at once may explain what is known far better than any one.
//
// What a furnace with two faults shows takes the whole model: the page only says so.

/** Whether some pair of faults is worth reckoning with, or a repair did not cure. */
function wantsPairs(book, belief) {
  return belief.repaired.length > 0 || arePromising(book, belief);
}

/**
 * Whether a pair may at best weigh a good share of the likeliest single fault: as if each
 * finding were brought about by that fault of the two which explains it better.
 */
function arePromising(book, belief) {
  const { table } = belief;
  const hoped = pairPriors(book, table);
  for (const pair of hoped) pair.weight += belief.leanings[pair.one] + belief.leanings[pair.other];
  for (const period of periodsOf(book, table, belief.findings, belief.repaired, belief.call)) {
    const fixed = (until) => new Set(belief.repaired.slice(0, until));
    hopeIn(book, table, period, fixed(period.repairs), fixed(period.repairs - 1), hoped);
  }
  const best = Math.max(...belief.weights) + Math.log(book.figures.promising);
  return hoped.some((pair) => pair.weight > best);
}

/** All pairs that may occur, with their log priors on the scale of the table. */
function pairPriors(book, table) {
  const single = table.hypotheses.map((each, index) => ({ ...each, index }))
    .filter((each) => each.faults.length === 1 && each.showing);
  const changes = single.map((each) => new Set(book.faults[each.faults[0]].changes));
  const pairs = [];
  single.forEach((one, first) => {
    single.slice(first + 1).forEach((other, after) => {
      if ([...changes[first + 1 + after]].some((change) => changes[first].has(change))) return;
      pairs.push({ one: one.index, other: other.index, weight: one.prior * other.prior });
    });
  });
  const whole = sum(pairs.map((pair) => pair.weight));
  const share = book.figures.pairShare / (1 - book.figures.pairShare);
  for (const pair of pairs) pair.weight = Math.log((pair.weight / whole) * share);
  return pairs;
}

/** What the findings of a period add: a fault that was repaired before explains nothing. */
function hopeIn(book, table, period, fixed, fixedBefore, hoped) {
  const goneIn = (repairs, index) => repairs.has(table.hypotheses[index].repair);
  const rows = period.findings.map((each) => rowOf(table, each.check, each.outcome) * table.width);
  for (const pair of hoped) {
    const gone = [goneIn(fixed, pair.one), goneIn(fixed, pair.other)];
    const both = gone[0] && gone[1];
    const before = goneIn(fixedBefore, pair.one) && goneIn(fixedBefore, pair.other);
    if (period.repair !== null && both && !before) pair.weight += Math.log(book.figures.notCured);
    for (const row of rows) {
      const one = gone[0] && !both ? 0 : table.chances[row + pair.one];
      const other = gone[1] && !both ? 0 : table.chances[row + pair.other];
      pair.weight += Math.log(Math.max(one, other, book.figures.pairAtLeast));
    }
  }
}
