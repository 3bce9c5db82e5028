// What repairing now is expected to cost: repairs in the best order until cured.

/** Prices of trying repairs, and of giving up. */
function planOf(book, ids, done) {
  const { figures } = book;
  const minutes = [];
  const giveUp = [];
  for (const id of ids) {
    const fault = id !== figures.noFault && id !== figures.somethingElse;
    const price = fault ? book.repairs[id].price : 0;
    minutes.push(!fault || done.includes(id) ? figures.unaffordable : price);
    const nothing = id === figures.noFault ? figures.verifyMinutes : figures.referMinutes;
    giveUp.push(nothing + (done.includes(id) ? 0 : price));
  }
  return pricedPlan({ ids, minutes, wrong: figures.wrongMinutes, giveUp, tried: figures.mostTried,
    unaffordable: figures.unaffordable });
}

/** A plan with the price of each repair if it were known to be the one. */
function pricedPlan(plan) {
  return { ...plan, known: plan.minutes.map((each, repair) => Math.min(each, plan.giveUp[repair])) };
}

/** The first repairs by probability over price; those that cannot be needed are left out. */
function bestRepairs(plan, shares, count) {
  const rates = shares.map((share, repair) => -share / (plan.minutes[repair] + plan.wrong));
  return lowest(rates, count).filter((repair) => shares[repair] > 0);
}

/** Expected price of repairing until cured or better given up. */
function planCost(plan, shares) {
  let price = 0;
  for (let repair = 0; repair < shares.length; repair += 1) price += shares[repair] * plan.giveUp[repair];
  let least = price;
  let tried = 0;
  const whole = sum(shares);
  for (const repair of bestRepairs(plan, shares, plan.tried)) {
    const share = shares[repair];
    tried += share;
    price += (whole - tried + share) * (plan.minutes[repair] + plan.wrong);
    price -= share * (plan.giveUp[repair] + plan.wrong);
    least = Math.min(least, price);
  }
  return least;
}

/** Repairs worth trying, best first. */
function repairOrder(plan, shares) {
  return bestRepairs(plan, shares, shares.length).filter((repair) => plan.minutes[repair] < plan.unaffordable);
}

/** The same plan for some of its repairs. */
function onlyRepairs(plan, kept) {
  return pricedPlan({
    ...plan,
    ids: kept.map((each) => plan.ids[each]),
    minutes: kept.map((each) => plan.minutes[each]),
    giveUp: kept.map((each) => plan.giveUp[each]),
  });
}
