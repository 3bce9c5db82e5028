// How a check is answered: by its outcomes, or by a figure with its unit.

/** The answers as big buttons, and a field for a figure. `take(outcome, entered)` gets them. */
function answers(check, take, say) {
  const buttons = check.outcomes.map((outcome, place) =>
    button(capital(outcome.text), () => take(outcome.id, outcome.id), { key: place < 9 ? String(place + 1) : "" }));
  return [check.unit ? figureField(check, take, say) : null, element("div", { class: "answers" }, buttons)];
}

function capital(text) {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

/** A field for a reading. Zero and endless have no key of their own on many phones. */
function figureField(check, take, say) {
  const number = field("Reading", { name: "reading", inputmode: "decimal", autocomplete: "off", maxlength: "12" });
  const unit = field("Unit", { name: "unit" }, "select");
  for (const { name } of check.units) {
    unit.typed.append(element("option", { value: name, selected: name === check.unit }, name));
  }
  const enter = (event) => {
    event.preventDefault();
    const { refusal, entered, outcome } = understood(check, number.typed.value, unit.typed.value);
    if (refusal) {
      number.typed.setAttribute("aria-invalid", "true");
      say(refusal);
    } else take(outcome, entered);
  };
  const sign = check.mayBeNegative
    ? button("+/−", () => { number.typed.value = negated(number.typed.value); }) : null;
  const endless = check.isResistance
    ? button("OL, no end", () => take(outcomeWith(check, Infinity), OPEN)) : null;
  return element("form", { onsubmit: enter, novalidate: true },
    element("div", { class: "row" }, number.shown, unit.shown),
    element("div", { class: "row" }, sign, endless, element("button", { type: "submit", class: "main" }, "Enter")));
}

function negated(text) {
  return text.startsWith("-") ? text.slice(1) : `-${text}`;
}

/** What to bring into another state before a check, in words, in a safe order. */
function setupWords(book, setup, check) {
  const power = book.aspects.findIndex((each) => each.id === "power");
  const goesOff = book.aspects[power]?.states[check.needs[power]] === "off";
  return changesInWords(book, setup, check.needs, goesOff ? book.orders.powerFirst : book.orders.powerLast);
}

/** What to put back as it was on arrival, in words; all of it only `toRun` the furnace. */
function puttingBack(book, setup, toRun) {
  const needs = book.aspects.map((aspect) =>
    (toRun || !book.orders.leftOff.includes(aspect.id) ? aspect.start : -1));
  return changesInWords(book, setup, needs, book.orders.closing);
}

function changesInWords(book, setup, needs, order) {
  const place = (aspect) => (order.includes(aspect.id) ? order.indexOf(aspect.id) : order.length);
  return book.aspects.map((aspect, index) => ({ aspect, now: setup[index], to: needs[index] }))
    .filter(({ now, to }) => to >= 0 && to !== now)
    .sort((one, other) => place(one.aspect) - place(other.aspect))
    .map(({ aspect, to }) => aspect.how[to]);
}
