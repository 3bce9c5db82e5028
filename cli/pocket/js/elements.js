// Pieces of a screen. Text only ever becomes text: nothing is read as markup.

/** An element with attributes and children; a text among the children stays text. */
function element(name, attributes = {}, ...children) {
  const made = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) {
    if (key === "onclick" || key === "onsubmit") made[key] = value;
    else if (value !== false) made.setAttribute(key, value === true ? "" : value);
  }
  made.append(...children.flat().filter((each) => each !== null && each !== ""));
  return made;
}

/** The question or the result of a screen: the one thing to read first. */
function heading(text) {
  return element("h1", { tabindex: "-1" }, text);
}

function paragraph(text, kind = "") {
  return element("p", kind ? { class: kind } : {}, text);
}

/** A list with a head; nothing if it is empty. */
function listed(items, kind = "ul", head = "") {
  if (!items.length) return null;
  const list = element(kind, {}, items.map((each) => element("li", {}, each)));
  return head ? element("section", {}, element("h2", {}, head), list) : list;
}

/** A button for thumbs; one with a key shows it and is pressed by it too. */
function button(text, onclick, { key = "", kind = "" } = {}) {
  const attributes = { type: "button", onclick, ...(kind && { class: kind }), ...(key && { "data-key": key }) };
  const hint = key ? element("kbd", { "aria-hidden": "true" }, key) : null;
  return element("button", attributes, hint, element("span", {}, text));
}

/** Buttons side by side. */
function row(...buttons) {
  return element("div", { class: "row" }, ...buttons);
}

/** Cautions: all of the text the first time, one line later. */
function cautionBox(book, ids, told) {
  if (!ids.length) return null;
  const shown = ids.map((id) => {
    const { title, text, short } = book.cautions[id];
    return told.has(id) ? paragraph(short) : element("div", {}, element("strong", {}, title), listed(text, "ol"));
  });
  return element("section", { class: "caution", "aria-label": "Caution" }, shown);
}

/** What is typed: a label over its field. */
function field(label, attributes, name = "input") {
  const typed = element(name, { id: attributes.name, ...attributes });
  return { typed, shown: element("div", { class: "field" }, element("label", { for: attributes.name }, label), typed) };
}

function percent(share) {
  if (share > 0.99 && share < 1) return "over 99\u00a0%";
  return share > 0 && share < 0.01 ? "under 1\u00a0%" : `${Math.round(share * 100)}\u00a0%`;
}

function minutesInWords(minutes) {
  return `${Number(minutes.toFixed(minutes < 10 ? 1 : 0))} min`;
}
