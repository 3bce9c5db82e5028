// What checks separate of the hypotheses that need different repairs.
//
// EC2 (Golovin, Krause, Ray, arXiv 1010.3091): every two hypotheses that need different repairs
// weigh the product of their probabilities; a check cuts the weight of those it tells apart.

/**
 * From chances of (outcome rows, hypotheses), and which repair each hypothesis needs. The
 * columns of `scaled` are put in order: first those that are alone in needing their repair,
 * then those of one repair together, with `ends` behind each repair.
 */
function separationOf(chances, width, start, number) {
  const { order, alone, ends } = columnsOf(number);
  const rows = start[start.length - 1];
  const top = new Float64Array(rows);
  const scaled = new Float64Array(chances.length);
  for (let row = 0; row < rows; row += 1) {
    const from = row * width;
    for (let each = 0; each < width; each += 1) top[row] = Math.max(top[row], chances[from + each]);
    const over = top[row] > 0 ? top[row] : 1;
    for (let each = 0; each < width; each += 1) scaled[from + each] = chances[from + order[each]] / over;
  }
  return { start, width, top, scaled, order, alone, ends };
}

function columnsOf(number) {
  const groups = new Map();
  number.forEach((repair, each) => groups.set(repair, [...(groups.get(repair) ?? []), each]));
  const sizes = [...groups.values()].sort((one, other) => one.length - other.length);
  const alone = sizes.filter((group) => group.length === 1).length;
  const ends = [];
  sizes.slice(alone).forEach((group) => ends.push((ends[ends.length - 1] ?? alone) + group.length));
  return { order: sizes.flat(), alone, ends };
}

function separationIn(problem) {
  return separationOf(problem.chances, problem.width, problem.start, problem.number);
}

/** Share of the EC2 weight that each check is expected to cut, 0 to 1. */
function gainShares(separation, shares) {
  const gainOf = gainsIn(separation, shares);
  return Float64Array.from({ length: separation.start.length - 1 }, (_, check) => gainOf(check));
}

/** The same of one check after the other, where not all of them matter. */
function gainsIn(separation, shares) {
  const ordered = Float64Array.from(separation.order, (each) => shares[each]);
  const weight = ec2Weight(separation, ordered);
  return (check) => {
    let kept = 0;
    for (let row = separation.start[check]; row < separation.start[check + 1]; row += 1) {
      kept += keptBy(separation, ordered, row);
    }
    return Math.max(weight - kept, 0) / Math.max(weight, Number.MIN_VALUE);
  };
}

function ec2Weight({ alone, ends }, ordered) {
  let alike = 0;
  let from = 0;
  for (; from < alone; from += 1) alike += ordered[from] * ordered[from];
  for (const end of ends) {
    let group = 0;
    for (; from < end; from += 1) group += ordered[from];
    alike += group * group;
  }
  return (1 - alike) / 2;
}

/** The weight that is left after an outcome, by its chance. */
function keptBy({ scaled, top, width, alone, ends }, ordered, row) {
  const base = row * width;
  let chance = 0;
  let spread = 0;
  let alike = 0;
  let from = 0;
  for (; from < alone; from += 1) {
    const likely = scaled[base + from];
    const joint = ordered[from] * likely;
    chance += joint;
    spread += joint * likely;
    alike += joint * joint;
  }
  for (const end of ends) {
    let group = 0;
    for (; from < end; from += 1) {
      const likely = scaled[base + from];
      const joint = ordered[from] * likely;
      group += joint;
      spread += joint * likely;
    }
    chance += group;
    alike += group * group;
  }
  const effective = chance * (chance / (spread > 0 ? spread : 1));
  const apart = chance - alike / (chance > 0 ? chance : 1);
  return (top[row] * effective * effective * apart) / 2;
}
