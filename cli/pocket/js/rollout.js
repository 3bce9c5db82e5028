// What going on is expected to cost if a simple rule picks every further check: the one that
// cuts most EC2 weight per minute, as long as that is expected to be cheaper than stopping.

/** The state now. */
function rootOf(problem) {
  return { shares: problem.shares, reach: 1, setup: problem.setup, open: new Set(problem.checks.keys()) };
}

/** What a check in a state leads to: [{chance, state}, ...]. */
function branchesOf(problem, node, check) {
  const open = new Set(node.open);
  open.delete(check);
  const setup = setupAfter(problem.needs[check], node.setup);
  const branches = [];
  for (let row = problem.start[check]; row < problem.start[check + 1]; row += 1) {
    const shares = new Float64Array(problem.width);
    let chance = 0;
    for (let each = 0; each < problem.width; each += 1) {
      shares[each] = node.shares[each] * problem.chances[row * problem.width + each];
      chance += shares[each];
    }
    if (chance <= 1e-12) continue;
    for (let each = 0; each < problem.width; each += 1) {
      shares[each] /= chance;
      if (shares[each] < 1e-15) shares[each] = 0;
    }
    branches.push({ chance, state: { shares, reach: node.reach * chance, setup, open } });
  }
  return branches;
}

/** Expected price of going on by the rule from a state. */
function goingOn(book, problem, separation, node, depth) {
  const stop = stopPrice(problem, node.shares);
  const known = knownPrice(problem, node.shares);
  const cheapest = Math.min(...problem.prices.map(steady));
  // No check can save more than knowing the truth would.
  if (!(steady(stop - known) > cheapest)) return stop;
  const picked = pickedCheck(book, problem, separation, node, stop - known);
  if (picked === null) return stop;
  const deeper = node.reach >= book.figures.leastReach && depth < book.figures.mostDepth;
  if (!deeper) return Math.min(stop, known + book.figures.harder / picked.rate);
  let price = picked.price;
  for (const { chance, state } of branchesOf(problem, node, picked.check)) {
    price += chance * goingOn(book, problem, separation, state, depth + 1);
  }
  return Math.min(stop, price);
}

/** The check that the rule picks in a state; null where none can save its price. */
function pickedCheck(book, problem, separation, node, savable) {
  const gains = gainShares(separation, node.shares);
  let best = null;
  for (const check of node.open) {
    const price = checkPrice(problem, check, node.setup);
    if (!isLess(price, savable) || !isLess(book.figures.separates, gains[check])) continue;
    const rate = gains[check] / Math.max(price, Number.MIN_VALUE);
    if (rate > 0 && (best === null || isLess(best.rate, rate))) best = { check, price, rate };
  }
  return best;
}

/** Expected price of a first check with the rule after it. */
function rollout(book, problem, separation, check) {
  const here = rootOf(problem);
  let price = checkPrice(problem, check, here.setup);
  for (const { chance, state } of branchesOf(problem, here, check)) {
    price += chance * goingOn(book, problem, separation, state, 0);
  }
  return price;
}
