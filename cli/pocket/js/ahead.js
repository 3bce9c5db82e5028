// Thinking ahead: while a question is read, where each answer to it would lead is worked out.

/** Milliseconds until the screen has been drawn and a thumb may be on its way. */
const UNTIL_DRAWN = 30;

/** Jobs as they may stand after the next answer, likeliest first, by their keys. */
function thinkAhead(page) {
  const { book, events } = page;
  const coming = answersToCome(page).map((more) => [...events, ...more]);
  const think = () => {
    if (page.events !== events || !coming.length) return;
    const may = coming.shift();
    page.thought.set(keyOf(book, may), standing(book, may));
    setTimeout(think);
  };
  page.thought = new Map();
  setTimeout(think, UNTIL_DRAWN);
}

/** What may be answered now, as the events that each answer brings. */
function answersToCome({ book, now: { next, advice } }) {
  if (next.kind === "make-safe") return [next.signs.map((sign) => answerOf(sign.id, "no"))];
  if (next.kind !== "check") return [];
  const { table } = advice.belief;
  const from = table.start[table.place.get(next.check.id)];
  const chances = next.check.outcomes.map((_, place) =>
    -dot(table.chances.subarray((from + place) * table.width, (from + place + 1) * table.width), advice.belief.shares));
  const outcomes = ranked(chances).map((place) => next.check.outcomes[place].id);
  return [...outcomes, null].map((outcome) => [answerOf(next.check.id, outcome)]);
}

function answerOf(check, outcome) {
  return { type: "finding", check, outcome };
}

/** What two jobs have alike that stand alike: not the times, nor figures that no rule looks at. */
function keyOf(book, events) {
  const told = ({ time, entered, ...rest }) => ({ ...rest, ...(book.figuresMatter.has(rest.check) && { entered }) });
  return JSON.stringify(events.map(told));
}

/** Checks whose figures rules look at, besides the outcome that they fall into. */
function checksWithFigures(rules) {
  const conditions = rules.flatMap((rule) => rule.when);
  return new Set(conditions.filter((each) => each.subject === "found" && !isUnbounded(each)).map((each) => each.name));
}
