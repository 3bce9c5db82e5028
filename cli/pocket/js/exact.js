// The best way on, by exact dynamic programming, once few suspects are left: checks and repairs
// in any order. States met before are not worked out again.

const POSSIBLE = 1e-9;
/** Thrown where there are more states than allowed. */
const TOO_MANY = new Error("too many states to be solved exactly");

/** Prices with each check or repair first, and of giving up; null if there are too many states. */
function solved(book, problem) {
  const solver = solverOf(problem, book.figures.fewStates);
  const start = { shares: problem.shares, setup: problem.setup, done: new Set() };
  try {
    const checks = firstPrices(problem.prices.length, (check) => checkFirst(solver, start, check, Infinity));
    const repairs = firstPrices(problem.plan.ids.length, (each) => repairFirst(solver, start, each, Infinity));
    return { checks, repairs, giveUp: dot(start.shares, solver.giveUp) };
  } catch (error) {
    if (error === TOO_MANY) return null;
    throw error;
  }
}

function firstPrices(count, priceOf) {
  const prices = new Map();
  for (let each = 0; each < count; each += 1) {
    const price = priceOf(each);
    if (price !== null) prices.set(each, price);
  }
  return prices;
}

function solverOf(problem, mostStates) {
  const { plan, number, start, width } = problem;
  const giveUp = number.map((repair) => plan.giveUp[repair]);
  const least = number.map((repair) => Math.min(plan.minutes[repair], plan.giveUp[repair]));
  const unsure = problem.prices.map((_, check) => {
    const rows = problem.chances.subarray(start[check] * width, start[check + 1] * width);
    return rows.some((each) => each > POSSIBLE && each < 1 - POSSIBLE);
  });
  return { problem, giveUp, least, unsure, mostStates, known: new Map() };
}

function dot(one, other) {
  let total = 0;
  for (let each = 0; each < one.length; each += 1) total += one[each] * other[each];
  return total;
}

/** Least expected price from a state on. */
function valueOf(solver, state) {
  const shares = Array.from(state.shares, (each) => Math.round(each * 1e11));
  const key = `${shares} ${state.setup} ${[...state.done].sort()}`;
  if (!solver.known.has(key)) {
    if (solver.known.size >= solver.mostStates) throw TOO_MANY;
    solver.known.set(key, bestFrom(solver, state));
  }
  return solver.known.get(key);
}

function bestFrom(solver, state) {
  const { problem } = solver;
  let best = dot(state.shares, solver.giveUp);
  const least = dot(state.shares, solver.least);
  // Checks first: the low prices they find early let dear repairs be left out.
  problem.prices.forEach((own, check) => {
    if (own + least < best) best = Math.min(best, checkFirst(solver, state, check, best) ?? best);
  });
  for (const repair of likeliestRepairs(problem, state)) {
    best = Math.min(best, repairFirst(solver, state, repair, best) ?? best);
  }
  return best;
}

/** Repairs that may cure, the likeliest per price first. */
function likeliestRepairs(problem, state) {
  const shares = byRepair(problem, state.shares);
  const prices = problem.plan.minutes.map((each) => Math.max(each + problem.plan.wrong, 1e-9));
  const rates = Array.from(shares, (share, repair) => share / prices[repair]);
  return ranked(rates.map((each) => -each)).filter((repair) => rates[repair] > 0);
}

/** Price with a check first; null if it tells nothing or must reach the limit. */
function checkFirst(solver, state, check, limit) {
  const { problem } = solver;
  if (state.done.has(`check ${check}`)) return null;
  const branches = outcomesOf(problem, state, check);
  if (isDull(branches, state.shares)) return null;
  let price = checkPrice(problem, check, state.setup);
  let least = dot(state.shares, solver.least);
  if (price + least >= limit) return null;
  const setup = setupAfter(problem.needs[check], state.setup);
  const done = solver.unsure[check] ? new Set(state.done).add(`check ${check}`) : state.done;
  for (const { joint, chance } of branches) {
    if (chance <= POSSIBLE) continue;
    price += chance * valueOf(solver, { shares: joint.map((each) => each / chance), setup, done });
    // What is left is never cheaper than its least price: `price + least` only grows.
    least -= dot(joint, solver.least);
    if (price + least >= limit) return null;
  }
  return price;
}

function outcomesOf(problem, state, check) {
  const branches = [];
  for (let row = problem.start[check]; row < problem.start[check + 1]; row += 1) {
    const joint = state.shares.map((each, place) => each * problem.chances[row * problem.width + place]);
    branches.push({ joint, chance: sum(joint) });
  }
  return branches;
}

/** Whether all outcomes leave the shares as they are. */
function isDull(branches, shares) {
  const whole = shares.map((_, place) => sum(branches.map(({ joint }) => joint[place])));
  return branches.every(({ joint, chance }) =>
    joint.every((each, place) => Math.abs(each - chance * whole[place]) < POSSIBLE));
}

/** Price with a repair first; null if it cannot cure or must reach the limit. */
function repairFirst(solver, state, repair, limit) {
  const { problem } = solver;
  const { plan, number, arrival } = problem;
  const chance = byRepair(problem, state.shares)[repair];
  if (chance <= POSSIBLE) return null;
  const price = plan.minutes[repair] + plan.wrong - chance * plan.wrong;
  const left = state.shares.map((each, place) => (number[place] === repair ? 0 : each));
  if (price + dot(left, solver.least) >= limit) return null;
  const fails = sum(left);
  if (fails <= POSSIBLE) return price;
  const then = { shares: left.map((each) => each / fails), setup: arrival, done: state.done };
  return price + fails * valueOf(solver, then);
}
