// Sums and orders of figures.

function sum(figures) {
  let total = 0;
  for (const each of figures) total += each;
  return total;
}

/**
 * Figures are compared in single precision, so that the last digits of a sum decide nothing:
 * the order of summation differs from machine to machine.
 */
const steady = Math.fround;

function isLess(one, other) {
  return steady(one) < steady(other);
}

/** Places of the figures, the lowest first; those that tie in their order. */
function ranked(figures) {
  const rough = Array.from(figures, steady);
  return rough.map((_, place) => place).sort((a, b) => rough[a] - rough[b] || a - b);
}

/** The first places of all that are ranked. */
function lowest(figures, count) {
  const places = [];
  const rough = [];
  for (let place = 0; place < figures.length; place += 1) {
    const figure = steady(figures[place]);
    let at = rough.length;
    while (at > 0 && figure < rough[at - 1]) at -= 1;
    if (at >= count) continue;
    rough.splice(at, 0, figure);
    places.splice(at, 0, place);
    if (places.length > count) { rough.pop(); places.pop(); }
  }
  return places;
}

/** How many of the first figures it takes until their sum reaches a limit. */
function reaching(figures, limit) {
  let total = 0;
  for (let count = 0; count < figures.length; count += 1) {
    total += figures[count];
    if (total >= limit) return count + 1;
  }
  return figures.length + 1;
}

/** log(exp(a) + exp(b)) */
function logAddExp(a, b) {
  const top = Math.max(a, b);
  return top === -Infinity ? top : top + Math.log1p(Math.exp(-Math.abs(a - b)));
}
