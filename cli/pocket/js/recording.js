// The record of a job: lines to read, and the same events for the program to read in.

const LINE_LENGTH = 64;

/** What stands in a record, as one text. */
function recordOf(book, events) {
  const bytes = new TextEncoder().encode(JSON.stringify(events));
  const coded = btoa(Array.from(bytes, (byte) => String.fromCharCode(byte)).join(""));
  return [
    `${book.furnace.name}`,
    ...events.map((event) => `${clock(event)}  ${eventInWords(book, event)}`),
    "",
    "Read it in with: lightoff job import FILE",
    "BEGIN RECORD",
    ...(coded.match(new RegExp(`.{1,${LINE_LENGTH}}`, "g")) ?? []),
    `END RECORD ${crc32(bytes)}`,
    "",
  ].join("\n");
}

function clock(event) {
  const time = new Date(event.time);
  return [time.getHours(), time.getMinutes()].map((each) => String(each).padStart(2, "0")).join(":");
}

/** CRC-32 as in ISO 3309, eight hexadecimal digits. */
function crc32(bytes) {
  let rest = 0xffffffff;
  for (const byte of bytes) {
    rest ^= byte;
    for (let bit = 0; bit < 8; bit += 1) rest = (rest >>> 1) ^ (rest & 1 ? 0xedb88320 : 0);
  }
  return ((rest ^ 0xffffffff) >>> 0).toString(16).padStart(8, "0");
}

/** One event as a line; its kind alone where this page has no words for it. */
function eventInWords(book, event) {
  try {
    return IN_WORDS[event.type](book, event);
  } catch {
    return String(event.type);
  }
}

/** Type of event -> its words. */
const IN_WORDS = {
  started: () => "Begun.",
  finding: (book, event) => answered(book.checkOf.get(event.check), event),
  skipped: (book, { check }) => `${book.checkOf.get(check).ask} Skipped.`,
  repaired: (book, { repair }) => `${book.repairs[repair].title}: done, and it still fails.`,
  "called-again": () => "Another call for heat.",
  "interview-skipped": () => "The interview was skipped.",
  cleared: (book, { item }) => `Put right: ${item}`,
  noted: (book, { about, text }) => `Note (${about}): ${text}`,
  cured: (book, { repair }) => `${book.repairs[repair].title}: done, and it works.`,
  proved: (book, event) => provedInWords(book.proofs.items[event.proof], event),
  undone: () => "The last step was taken back.",
  closed: (book, event) => closedInWords(book, event),
};

function answered(check, { outcome, entered }) {
  if (outcome === null) return `${check.ask} Not known.`;
  const { text } = outcomeOf(check, outcome);
  return `${check.ask} ${readingIn(check, entered) === null ? text : `${entered} (${text})`}`;
}

function provedInWords(item, event) {
  if (event.verdict === "not-done") return `${item.title}: not done, ${event.reason}`;
  const verdict = event.verdict === "good" ? "Good" : "Not good";
  return `${verdict}: ${item.title}. ${answered(item.check, event)}`;
}

function closedInWords(book, { how, stopped, proof, reason }) {
  if (stopped?.length) return `Closed: work stopped. ${stopped.map((id) => book.cautions[id].title).join("; ")}`;
  const said = { proven: "proved", unproven: "not proved", tagged: "shut down and tagged" }[proof];
  const ended = said ?? { found: "done", nothing: "nothing found", left: "left as it is" }[how];
  return `Closed: ${ended}${reason ? `, ${reason}` : ""}.`;
}
