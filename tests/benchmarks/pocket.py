"""The pocket page in a headless browser: size, and milliseconds from a tap to the next question.

    python -m tests.benchmarks.pocket [--jobs 4] [--furnace ID] [--pause 500]

A tap is a click on an answer; the next question is there once the screen is laid out anew.
Between two taps a person reads: --pause is for how many milliseconds at least, 0 for none.
"""

import argparse
import tempfile
from pathlib import Path

import numpy as np

from lightoff.cli.pocket.page import page_of
from lightoff.engine import library
from lightoff.engine.reasoning.diagnosis import Diagnosis
from tests.cli.pocket.browsing import READ_BOOK, browser, phone

MOST_TAPS = 40

TAP_THROUGH = """async ([truth, mostTaps, pause]) => {
  const table = BOOK.chances;
  const screen = document.getElementById("screen");
  const named = (text) =>
    [...screen.querySelectorAll("button")].find((each) => each.textContent.includes(text));
  const timed = async (button) => {
    if (pause) await new Promise((go) => setTimeout(go, pause));
    const start = performance.now();
    button.click();
    screen.getBoundingClientRect();
    return performance.now() - start;
  };
  (named("Begin a new job") ?? named("Another job")).click();
  named("Begin a new job")?.click();
  const times = [await timed(named("I looked; go on"))];
  while (times.length < mostTaps && !named("Done, and it works")) {
    const check = BOOK.checks.find((each) => each.ask === screen.querySelector("h1").textContent);
    if (check === undefined) break;
    const at = table.place.get(check.id);
    const rows = check.outcomes.map((_, row) =>
      table.chances[(table.start[at] + row) * table.width + truth]);
    const answers = screen.querySelectorAll(".answers button");
    const answer = answers[rows.indexOf(Math.max(...rows))];
    times.push(await timed(check.told ? named("Don't know") : answer));
  }
  return times;
}"""


def times_of(page, jobs, pause):
    """Milliseconds of every tap of some jobs, each with a fault of its own."""
    page.evaluate(READ_BOOK)
    faults = page.evaluate(
        "() => BOOK.hypotheses.flatMap((each, at) => (each.faults.length ? [at] : []))"
    )
    every = []
    for truth in faults[:: max(1, len(faults) // jobs)][:jobs]:
        page.evaluate("() => localStorage.clear()")
        page.reload()
        page.wait_for_selector("#screen button")
        page.evaluate(READ_BOOK)
        every += page.evaluate(TAP_THROUGH, [truth, MOST_TAPS, pause])
    return np.array(every)


def main():
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    options.add_argument("--jobs", type=int, default=4)
    options.add_argument("--pause", type=float, default=500)
    options.add_argument("--furnace")
    chosen = options.parse_args()
    known = library.load()
    with browser() as opened, tempfile.TemporaryDirectory() as folder:
        for furnace in [chosen.furnace] if chosen.furnace else known.furnaces:
            file = Path(folder) / f"{furnace}.html"
            file.write_text(page_of(Diagnosis.of(known, furnace), "0"), encoding="utf-8")
            times = times_of(phone(opened, file), chosen.jobs, chosen.pause)
            print(
                f"{furnace:26} {file.stat().st_size / 1000:4.0f} kB  {len(times):4} taps  "
                f"mean {times.mean():5.1f} ms  95 % under {np.quantile(times, 0.95):5.1f} ms  "
                f"worst {times.max():5.1f} ms"
            )


if __name__ == "__main__":
    main()
