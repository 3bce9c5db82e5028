// What checks separate of the hypotheses that need different repairs.
//
// EC2 (Golovin, Krause, Ray, arXiv 1010.3091): every two hypotheses that need different repairs
// weigh the product of their probabilities; a check cuts the weight of those it tells apart.

/** From chances of (outcome rows, hypotheses), and which repair each hypothesis needs. */
function separationOf(chances, width, start, number) {
  const rows = start[start.length - 1];
  const top = new Float64Array(rows);
  const scaled = new Float64Array(chances.length);
  for (let row = 0; row < rows; row += 1) {
    const from = row * width;
    for (let each = 0; each < width; each += 1) top[row] = Math.max(top[row], chances[from + each]);
    const over = top[row] > 0 ? top[row] : 1;
    for (let each = 0; each < width; each += 1) scaled[from + each] = chances[from + each] / over;
  }
  const order = number.map((_, each) => each).sort((a, b) => number[a] - number[b] || a - b);
  return { start, width, top, scaled, order, number };
}

function separationIn(problem) {
  return separationOf(problem.chances, problem.width, problem.start, problem.number);
}

/** Share of the EC2 weight that each check is expected to cut, 0 to 1. */
function gainShares(separation, shares) {
  const able = ableOf(separation, shares);
  const weight = ec2Weight(able);
  const gains = new Float64Array(separation.start.length - 1);
  for (let check = 0; check < gains.length; check += 1) {
    let kept = 0;
    for (let row = separation.start[check]; row < separation.start[check + 1]; row += 1) {
      kept += keptBy(separation, able, row);
    }
    gains[check] = Math.max(weight - kept, 0) / Math.max(weight, Number.MIN_VALUE);
  }
  return gains;
}

/** The hypotheses that are possible, those of one repair together: `ends` behind each repair. */
function ableOf({ order, number }, shares) {
  const columns = [];
  const chances = [];
  const ends = [];
  for (const each of order) {
    if (shares[each] <= 0) continue;
    const last = columns[columns.length - 1];
    if (columns.length && number[last] !== number[each]) ends.push(columns.length);
    columns.push(each);
    chances.push(shares[each]);
  }
  ends.push(columns.length);
  return { columns: Int32Array.from(columns), shares: Float64Array.from(chances), ends };
}

function ec2Weight({ shares, ends }) {
  let alike = 0;
  let from = 0;
  for (const end of ends) {
    let group = 0;
    for (; from < end; from += 1) group += shares[from];
    alike += group * group;
  }
  return (1 - alike) / 2;
}

/** The weight that is left after an outcome, by its chance. */
function keptBy({ scaled, top, width }, { columns, shares, ends }, row) {
  let chance = 0;
  let spread = 0;
  let alike = 0;
  let from = 0;
  const base = row * width;
  for (const end of ends) {
    let group = 0;
    for (; from < end; from += 1) {
      const likely = scaled[base + columns[from]];
      const joint = shares[from] * likely;
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
