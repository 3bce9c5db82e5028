// Jobs as this device keeps them: every event is written down before anything else is asked.

function placeOf(book) {
  return `lightoff ${book.furnace.id}`;
}

/** The jobs kept for this furnace, oldest first; none where nothing can be kept or read. */
function keptJobs(book) {
  try {
    const kept = JSON.parse(localStorage.getItem(placeOf(book)) ?? "[]");
    return Array.isArray(kept) ? kept.filter((events) => isJob(book, events)) : [];
  } catch {
    return [];
  }
}

/** Whether what was kept can be gone on with by this page. */
function isJob(book, events) {
  try {
    const [started] = events;
    if (started.type !== "started" || started.furnace !== book.furnace.id) return false;
    standing(book, events);
    return true;
  } catch {
    return false;
  }
}

/** Keep the jobs; false where the device refuses. */
function keep(book, jobs) {
  try {
    localStorage.setItem(placeOf(book), JSON.stringify(jobs));
    return true;
  } catch {
    return false;
  }
}

/** Time with its offset, to the second. */
function now() {
  return `${new Date().toISOString().slice(0, 19)}+00:00`;
}
