// The rules, run forward: what they stop, ask, hold back, weigh and leave open.

/** What holds before any rule fires: findings with their readings, and what else is so. */
function situationOf(book, job) {
  const found = new Map();
  const held = new Set([`licence ${job.licence}`]);
  for (const [id, finding] of counted(job.findings)) {
    const check = book.checkOf.get(id);
    found.set(id, { outcome: finding.outcome, reading: readingIn(check, finding.entered) });
    const words = outcomeOf(check, finding.outcome).words;
    if (check.stalls && !check.tries && words.length === 1) held.add(`stalls-in ${words[0]}`);
  }
  for (const repair of job.repaired) held.add(`repaired ${repair}`);
  for (const tool of job.lacks) held.add(`lacks-tool ${tool}`);
  return { found, held, suspects: new Map() };
}

/** Fire rules until no more do: the rules that fired, in their order, and the facts derived. */
function chained(rules, situation) {
  const facts = new Set();
  const fired = new Set();
  for (let before = -1; fired.size > before;) {
    before = fired.size;
    for (const rule of rules) {
      if (!fired.has(rule) && rule.when.every((each) => holds(each, situation, facts))) {
        fired.add(rule);
        rule.derives.forEach((fact) => facts.add(fact));
      }
    }
  }
  return { fired: rules.filter((rule) => fired.has(rule)), facts };
}

/** Whether a condition holds in a situation, with these facts derived so far. */
function holds(condition, situation, facts) {
  switch (condition.subject) {
    case "found": return isFound(condition, situation.found.get(condition.name));
    case "fact": return facts.has(condition.name);
    case "suspect": return isWithin(condition, situation.suspects.get(condition.name));
    case "stalls-in":
    case "licence":
      return condition.words.some((word) => situation.held.has(`${condition.subject} ${word}`));
    default: return situation.held.has(`${condition.subject} ${condition.name}`);
  }
}

function isFound(condition, found) {
  if (found === undefined) return false;
  if (condition.words.length && !condition.words.includes(found.outcome)) return false;
  return isUnbounded(condition) || isWithin(condition, found.reading);
}

function isUnbounded(condition) {
  return condition.low === null && condition.high === null;
}

function isWithin({ low, high }, figure) {
  return typeof figure === "number" && figure >= (low ?? -Infinity) && figure <= (high ?? Infinity);
}

/**
 * What the rules conclude in a job. Rules that look at suspects come second, and weigh
 * nothing: what they conclude rests on the same belief whatever the order.
 */
function advise(book, table, job) {
  const situation = situationOf(book, job);
  const blind = chained(book.rules, situation).fired;
  const leanings = leaningsOf(table, blind);
  const belief = posterior(book, table, job.findings, job.repaired, leanings, job.call);
  situation.suspects = namedShares(belief);
  return { belief, fired: chained(book.rules, situation).fired };
}

/** Log factors of all weighing rules together. */
function leaningsOf(table, fired) {
  const leanings = new Float64Array(table.width);
  for (const rule of fired) {
    for (const [target, factor] of rule.weighs) {
      table.hypotheses.forEach((each, index) => {
        if (isAbout(each, target)) leanings[index] += Math.log(factor);
      });
    }
  }
  return leanings;
}

/** Whether a hypothesis is about a part, or about PART.FAULT. */
function isAbout(hypothesis, target) {
  return hypothesis.about.includes(target);
}

/** Probability by PART.FAULT and by part. */
function namedShares(belief) {
  const shares = new Map();
  belief.table.hypotheses.forEach((each, index) => {
    for (const name of each.about) {
      shares.set(name, (shares.get(name) ?? 0) + belief.shares[index]);
    }
  });
  return shares;
}

/**
 * What the rules that fired say under one heading, each text once with the first rule that
 * says it, in the order in which they were said last.
 */
function said(advice, effect) {
  const texts = new Map();
  for (const rule of [...advice.fired].reverse()) {
    for (const text of [...(rule.then[effect] ?? [])].reverse()) texts.set(text, rule);
  }
  return [...texts].reverse().map(([text, rule]) => ({ text, rule }));
}

/** Checks whose answer alone may stop the work or must be put right. */
function checksForSafety(rules) {
  const matters = (rule) => rule.then.stop || rule.then.leaveOpen;
  const alone = (rule) => rule.when.length === 1 && rule.when[0].subject === "found";
  return new Set(rules.filter((rule) => alone(rule) && matters(rule)).map((rule) => rule.when[0].name));
}
