"""The page in a browser and the program agree: same suspects, same next check, same duties."""

from pathlib import Path

import msgspec
import pytest

from lightoff.engine.reasoning.answers import understand
from lightoff.engine.reasoning.interview import Ask, Conclude, MakeSafe, Stop, person_of, what_next
from lightoff.engine.reasoning.job import AnyEvent, Found, replay
from lightoff.engine.reasoning.open_list import open_items
from lightoff.engine.reasoning.suspects import suspects_of
from tests.cli.pocket.browsing import READ_BOOK, phone

WALK = (Path(__file__).parent / "walk.js").read_text(encoding="utf-8")
FURNACES = (
    "direct-spark-propane",
    "metal-vent-induced",
    "spark-pilot-natural-draft",
    "standing-pilot",
    "two-pipe-condensing",
    "two-stage-condensing",
)
RUNS, PIECES = 504, 2
"""Random jobs in all, and in how many tests each furnace's are."""
CLOSE = 1e-6
MOST_STEPS = 26


def said(step):
    """What comes next, as the page says it."""
    match step:
        case Stop():
            return ["stop", None]
        case MakeSafe():
            return ["make-safe", None]
        case Ask(decision=decision):
            return ["check", decision.check]
        case Conclude(decision=decision):
            return [decision.kind, decision.repair]


def assert_agree(diagnosis, walked):
    events = msgspec.convert(walked["events"], list[AnyEvent])
    job = replay(events)
    advice = diagnosis.adviser.advise(job.findings, job.repaired, person_of(job), job.call)
    suspects = {each.id: each.probability for each in suspects_of(advice.belief)}
    assert dict(walked["suspects"]) == pytest.approx(suspects, abs=CLOSE, rel=0)
    assert walked["next"] == said(what_next(diagnosis, job, advice))
    assert walked["open"] == list(open_items(diagnosis, job, advice))
    assert walked["promising"] == diagnosis.pairs.are_promising(advice.belief)
    for event in events:
        if isinstance(event, Found) and is_a_reading(event):
            check = diagnosis.checks[event.check]
            assert understand(check, event.entered).outcome == event.outcome


def is_a_reading(event):
    return event.outcome is not None and event.entered.lstrip("-.")[:1].isdigit()


@pytest.mark.parametrize("piece", range(PIECES))
@pytest.mark.parametrize("furnace", FURNACES)
def test_page_and_program_agree_on_random_jobs(chromium, compiled, furnace, piece):
    diagnosis, file = compiled(furnace)
    page = phone(chromium, file)
    page.evaluate(READ_BOOK)
    page.evaluate(f"() => {{ globalThis.walked = {WALK} }}")
    runs = RUNS // len(FURNACES) // PIECES
    for seed in range(piece * runs, (piece + 1) * runs):
        walked = page.evaluate("([seed, steps]) => walked(seed, steps)", [seed, seed % MOST_STEPS])
        try:
            assert_agree(diagnosis, walked)
        except AssertionError as error:
            error.add_note(f"seed {seed}: {walked['events']}")
            raise
    page.context.close()
