// Jobs as this device keeps them, each in a place of its own: every event is written down
// before anything else is asked, and no page writes over the job of another.

/** Where the jobs on this type of furnace are kept. */
function prefixOf(book) {
  return `lightoff ${book.furnace.id} `;
}

/** A place for a new job. */
function newPlace(book) {
  return `${prefixOf(book)}${now()} ${Math.random().toString(16).slice(2, 10)}`;
}

/** The jobs kept for this furnace, oldest first: {place, events}. None where nothing is kept. */
function keptJobs(book) {
  try {
    return Object.keys(localStorage).filter((place) => place.startsWith(prefixOf(book))).sort()
      .map((place) => ({ place, events: eventsAt(place) }))
      .filter(({ events }) => Array.isArray(events) && events[0]?.type === "started");
  } catch {
    return [];
  }
}

function eventsAt(place) {
  try {
    return JSON.parse(localStorage.getItem(place));
  } catch {
    return null;
  }
}

/** Keep a job; false where the device refuses. */
function keep(place, events) {
  try {
    localStorage.setItem(place, JSON.stringify(events));
    return true;
  } catch {
    return false;
  }
}

/** Where a job stands; null if this page cannot make sense of it: another page made it. */
function understoodJob(book, events) {
  try {
    return events[0].furnace === book.furnace.id ? standing(book, events) : null;
  } catch {
    return null;
  }
}

/** Time with its offset, to the second. */
function now() {
  return `${new Date().toISOString().slice(0, 19)}+00:00`;
}
