// What an answer would tell that only rules weigh: history, and what stands around.
//
// The model predicts such answers alike under all hypotheses; the rules give their ratios.

/** The belief over a table in which untold history has the chances that rules give it. */
function withLeads(book, job, belief, among) {
  const answered = new Set(job.findings.map((each) => each.check));
  const untold = among.filter((check) => check.told && !answered.has(check.id));
  if (!untold.length) return belief;
  const waiting = waitingRules(book.rules, situationOf(book, job));
  const leading = untold.filter((check) => waiting.by.has(check.id));
  const rows = leading.map((check) => [check.id, leadingChances(book, belief.table, check, waiting)]);
  return { ...belief, table: withRows(belief.table, rows) };
}

/** The rules that have not fired whatever the suspects, by the check or fact they look at. */
function waitingRules(rules, situation) {
  const blind = rules.filter((rule) => rule.when.every((each) => each.subject !== "suspect"));
  const now = chained(blind, situation);
  const fired = new Set(now.fired);
  const by = new Map();
  for (const rule of blind.filter((each) => !fired.has(each))) {
    for (const name of new Set(rule.when.map((each) => each.name))) {
      by.set(name, [...(by.get(name) ?? []), rule]);
    }
  }
  return { by, situation, facts: now.facts };
}

/** The rules that an answer would make fire besides those that fire now. */
function furtherRules(waiting, check, outcome) {
  const found = new Map(waiting.situation.found).set(check, { outcome, reading: null });
  const situation = { ...waiting.situation, found };
  const facts = new Set(waiting.facts);
  const fired = new Set();
  const names = [check];
  while (names.length) {
    for (const rule of waiting.by.get(names.pop()) ?? []) {
      if (!fired.has(rule) && rule.when.every((each) => holds(each, situation, facts))) {
        fired.add(rule);
        rule.derives.forEach((fact) => facts.add(fact));
        names.push(...rule.derives);
      }
    }
  }
  return [...fired];
}

/** P(outcome | hypothesis) of a check that only rules weigh, its rows one by one. */
function leadingChances(book, table, check, waiting) {
  const count = check.outcomes.length;
  const weights = check.outcomes.map((outcome) =>
    leaningsOf(table, furtherRules(waiting, check.id, outcome.id)).map(Math.exp));
  const rows = new Float64Array(count * table.width);
  for (let each = 0; each < table.width; each += 1) {
    const whole = sum(weights.map((row) => row[each]));
    weights.forEach((row, outcome) => {
      const chance = row[each] / whole;
      rows[outcome * table.width + each] = (1 - check.misread) * chance + check.misread / count;
    });
  }
  return rows;
}
