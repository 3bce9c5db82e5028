"""What a person does on the page, as steps for tests."""

from tests.cli.pocket.browsing import READ_BOOK

FURNACE = "standing-pilot"
KEPT = """() => Object.keys(localStorage).sort().map((place) => JSON.parse(localStorage[place]))"""


def begun(page, licensed=True):
    """A job behind its first screen, at the first question."""
    if licensed:
        page.check("#licence")
    page.click("text=Begin a new job")
    page.click("text=I looked; go on")
    return page


def kept(page):
    return page.evaluate(KEPT)


def heading(page):
    return page.inner_text("h1")


def at_a_repair(page):
    """Answers as the model has them for a blown-out pilot, until a repair is advised."""
    page.evaluate(READ_BOOK)
    for _ in range(60):
        if page.query_selector("text=Done, and it works"):
            return page
        place = page.evaluate(
            """(ask) => {
              const table = BOOK.chances;
              const check = BOOK.checks.find((each) => each.ask === ask);
              const at = table.place.get(check.id);
              const isTrue = (each) => each.faults[0] === "pilot.blown-out";
              const truth = table.hypotheses.findIndex(isTrue);
              const rows = check.outcomes.map((_, each) =>
                table.chances[(table.start[at] + each) * table.width + truth]);
              return check.told ? -1 : rows.indexOf(Math.max(...rows));
            }""",
            heading(page),
        )
        chosen = "text=Don't know" if place < 0 else f".answers button >> nth={place}"
        page.click(f"#screen >> {chosen}")
    raise AssertionError("no repair was advised")
