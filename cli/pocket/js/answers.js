// What a person typed -> the outcome of a check, or why it cannot be.

const NUMBER = /^[+-]?(\d+(\.\d*)?|\.\d+)$/;
const OPEN = "OL";

function outcomeOf(check, outcome) {
  return check.outcomes.find((each) => each.id === outcome);
}

/** The figure in SI units that stands in a text such as "3.5 inwc"; null if there is none. */
function readingIn(check, text) {
  if (!check.units.length || !text) return null;
  if (text === OPEN) return Infinity;
  const [number, name] = text.trim().split(/\s+/, 2);
  const unit = check.units.find((each) => each.name === (name ?? check.unit));
  if (!NUMBER.test(number ?? "") || unit === undefined) return null;
  return Number(number) * unit.factor + unit.zero;
}

/**
 * The event of a figure typed with its unit: {event} or, if it cannot be, {refusal}.
 */
function understood(check, number, unit) {
  const typed = number.trim().replace(",", ".");
  if (!NUMBER.test(typed)) return { refusal: "Type the figure as a number, such as 3.5." };
  const entered = `${typed} ${unit}`.trim();
  const value = readingIn(check, entered);
  if (value < 0 && !check.mayBeNegative) return { refusal: `${entered} cannot be: it is never below zero here.` };
  if (value < check.lowest) return { refusal: `${entered} cannot be: no furnace is as cold as that.` };
  if (Math.abs(value) > (check.highest ?? Infinity)) {
    return { refusal: `${entered} cannot be: nothing here reads as much. Read it again.` };
  }
  return { entered, outcome: outcomeWith(check, value) };
}

/** The outcome that a figure falls into. */
function outcomeWith(check, value) {
  const inside = ({ low, high }) =>
    value >= (low ?? -Infinity) && (value < (high ?? Infinity) || (value === Infinity && high === null));
  const banded = check.outcomes.filter((each) => !each.otherwise && !each.words.length && each.id !== check.notReached);
  return (banded.find(inside) ?? check.outcomes.find((each) => each.otherwise)).id;
}
