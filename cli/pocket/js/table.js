// The prediction table, as compiled from the model: P(outcome | hypothesis).

/**
 * The table of a book: chances row by row, (outcome rows, hypotheses); the rows of check i
 * are start[i] to start[i + 1].
 */
function tableOf(book) {
  const hypotheses = book.hypotheses.map((each) => ({ ...each, about: namesIn(each.faults) }));
  const width = hypotheses.length;
  const start = [0];
  for (const check of book.checks) start.push(start[start.length - 1] + check.outcomes.length);
  const chances = unpacked(book.table, start[start.length - 1] * width);
  const prior = book.hypotheses.map((each) => each.prior);
  const whole = sum(prior);
  return {
    hypotheses,
    checks: book.checks,
    width,
    start,
    chances,
    logs: chances.map(Math.log),
    logPrior: Float64Array.from(prior, (each) => Math.log(each / whole)),
    comesAndGoes: comingAndGoing(book.hypotheses),
    repairs: repairsOf(book.hypotheses),
    place: new Map(book.checks.map((check, index) => [check.id, index])),
  };
}

/** The faults, and the parts that they are of. */
function namesIn(faults) {
  return [...new Set([...faults, ...faults.map((fault) => fault.split(".")[0])])];
}

/** Runs of equal figures: two bytes say which figure, two how often, low byte first. */
function unpacked(packed, length) {
  const bytes = atob(packed.runs);
  const figures = new Float64Array(length);
  let place = 0;
  for (let at = 0; at < bytes.length; at += 4) {
    const figure = packed.figures[bytes.charCodeAt(at) + 256 * bytes.charCodeAt(at + 1)];
    const times = bytes.charCodeAt(at + 2) + 256 * bytes.charCodeAt(at + 3);
    figures.fill(figure, place, place + times);
    place += times;
  }
  return figures;
}

/** The faults that show in some calls only, each with its two columns. */
function comingAndGoing(hypotheses) {
  const showing = new Map();
  hypotheses.forEach((each, index) => {
    const faults = each.faults.join("+");
    if (each.showing && !showing.has(faults)) showing.set(faults, index);
  });
  const pairs = [];
  hypotheses.forEach((each, hidden) => {
    const shown = showing.get(each.faults.join("+"));
    if (!each.showing && shown !== undefined) pairs.push({ shown, hidden, shows: each.shows });
  });
  return pairs;
}

/** The distinct repairs in the order of the hypotheses, and which of them each asks for. */
function repairsOf(hypotheses) {
  const ids = [...new Set(hypotheses.map((each) => each.repair))];
  const place = new Map(ids.map((id, index) => [id, index]));
  return { ids, number: hypotheses.map((each) => place.get(each.repair)) };
}

/** The table with other chances for some of its checks: check id -> its rows, one by one. */
function withRows(table, rows) {
  const chances = table.chances.slice();
  const logs = table.logs.slice();
  for (const [check, figures] of rows) {
    const from = table.start[table.place.get(check)] * table.width;
    chances.set(figures, from);
    logs.set(figures.map(Math.log), from);
  }
  return { ...table, chances, logs };
}

/** Number of the row of an outcome. */
function rowOf(table, check, outcome) {
  const index = table.place.get(check);
  return table.start[index] + table.checks[index].outcomes.findIndex((each) => each.id === outcome);
}
