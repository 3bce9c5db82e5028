// What going on is expected to cost if a simple rule picks every further check: the one that
// cuts most EC2 weight per minute, as long as that is expected to be cheaper than stopping.

/** What looking ahead in a problem shares: what its checks separate, and prices known already. */
function aheadIn(book, problem) {
  return { book, problem, separation: separationIn(problem), met: new Map() };
}

/** The state now. `path` is what led to a state: the same in any order leads to the same. */
function rootOf(problem) {
  return { shares: problem.shares, reach: 1, setup: problem.setup, open: [...problem.checks.keys()], path: [] };
}

/** What a check in a state leads to: [{chance, state}, ...]. */
function branchesOf(problem, node, check) {
  const open = node.open.filter((each) => each !== check);
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
    for (let each = 0; each < problem.width; each += 1) shares[each] /= chance;
    branches.push({ chance, state: { shares, reach: node.reach * chance, setup, open, path: [...node.path, row] } });
  }
  return branches;
}

/** Expected price of going on by the rule from a state. */
function goingOn(ahead, node) {
  const key = `${[...node.path].sort()} ${node.setup}`;
  if (!ahead.met.has(key)) ahead.met.set(key, newlyGoingOn(ahead, node));
  return ahead.met.get(key);
}

function newlyGoingOn(ahead, node) {
  const { book, problem } = ahead;
  const stop = stopPrice(problem, node.shares);
  const known = knownPrice(problem, node.shares);
  // No check can save more than knowing the truth would.
  if (!isLess(problem.cheapest, stop - known)) return stop;
  const picked = pickedCheck(ahead, node, stop - known);
  if (picked === null) return stop;
  const deeper = !isLess(node.reach, book.figures.leastReach) && node.path.length <= book.figures.mostDepth;
  if (!deeper) return Math.min(stop, known + book.figures.harder / picked.rate);
  let price = picked.price;
  for (const { chance, state } of branchesOf(problem, node, picked.check)) {
    price += chance * goingOn(ahead, state);
  }
  return Math.min(stop, price);
}

/** The check that the rule picks in a state; null where none can save its price. */
function pickedCheck({ book, problem, separation }, node, savable) {
  const gainOf = gainsIn(separation, node.shares);
  let best = null;
  for (const check of node.open) {
    const price = checkPrice(problem, check, node.setup);
    // No check cuts more than all the weight: many need not be looked at.
    if (!isLess(price, savable) || (best !== null && !isLess(best.rate, 1 / price))) continue;
    const gain = gainOf(check);
    if (!isLess(book.figures.separates, gain)) continue;
    const rate = gain / Math.max(price, Number.MIN_VALUE);
    if (rate > 0 && (best === null || isLess(best.rate, rate))) best = { check, price, rate };
  }
  return best;
}

/** Expected price of a first check with the rule after it. */
function rollout(ahead, check) {
  const { problem } = ahead;
  const here = rootOf(problem);
  let price = checkPrice(problem, check, here.setup);
  for (const { chance, state } of branchesOf(problem, here, check)) {
    price += chance * goingOn(ahead, state);
  }
  return price;
}
