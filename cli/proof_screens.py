"""What proving shows -> lines on a screen; the next thing to do last."""

from __future__ import annotations

from lightoff.cli.lines import Line, Lines, caution_lines, numbered
from lightoff.cli.proof_views import ProofFailed, ProofQuestion, ProofsDone
from lightoff.cli.wording import count, minutes_in_words

MORE_KEYS = "b back   k plate   n note   ! danger, stop work   q save and leave   h all keys"
KEYS_AT_PROOF = (
    "s WHY not done   v what is left   u WHY close unproven   x WHY shut down, tag",
    MORE_KEYS,
)
KEYS_AT_VISIT = (
    "s WHY not done   v what is left   u WHY end it here   x WHY shut down, tag",
    MORE_KEYS,
)


def proof_lines(shown: ProofQuestion, again: bool, refused: bool) -> Lines:
    """One thing to be proved: how, what is good, and how to answer."""
    if refused:
        return [Line(_how_to_answer(shown))]
    asked = [Line(shown.ask, "next"), *_good(shown), *_answers(shown)]
    if again:
        return [Line(), *asked, *_keys(shown)]
    after = [Line(f"Afterwards: {shown.afterwards}.", "warn", 2, 2)] if shown.afterwards else []
    return [
        Line(),
        Line(_head(shown), "head"),
        *(Line(words, indent=2, hang=2) for words in shown.setup),
        *caution_lines(shown.cautions),
        asked[0],
        *numbered(shown.how),
        *after,
        *asked[1:],
        *_keys(shown),
    ]


def _head(shown: ProofQuestion) -> str:
    minutes = minutes_in_words(shown.minutes)
    work = "Yearly visit" if shown.visit else "Prove it"
    return f"--- {work}, {shown.number} of {shown.of}: {shown.title} ({minutes}) ---"


def _good(shown: ProofQuestion) -> Lines:
    expected = f" A sound one of this type reads about {shown.expected}." if shown.expected else ""
    return [Line(f"Good: {shown.good}.{expected}", indent=2, hang=2)]


def _answers(shown: ProofQuestion) -> Lines:
    if shown.unit:
        return []
    return [
        Line(f"{number}  {words}", "name", indent=4, hang=4)
        for number, words in enumerate(shown.outcomes, start=1)
    ]


def _how_to_answer(shown: ProofQuestion) -> str:
    if shown.unit:
        return f"Type the reading (a number alone is in {shown.unit}), or s and why it is not done."
    return "Type the number of an answer, or s and why it is not done."


def _keys(shown: ProofQuestion) -> Lines:
    keys = KEYS_AT_VISIT if shown.visit else KEYS_AT_PROOF
    return [Line(_how_to_answer(shown)), *(Line(each, "note") for each in keys)]


def failed_lines(shown: ProofFailed) -> Lines:
    """Something is not good: what to do about it."""
    look = "   2 the cause is still there: look on" if shown.may_look_on else ""
    return [
        Line(),
        Line(f"Not good: {shown.title}: {shown.found}.", "bad"),
        Line(f"Good: {shown.good}.", indent=2, hang=2),
        *(Line(row, indent=2, hang=2) for row in shown.earlier),
        Line(shown.out, indent=2),
        Line(f"1 put right, try it again{look}   3 leave it so, go on", "next"),
        Line(MORE_KEYS, "note"),
    ]


def done_lines(shown: ProofsDone) -> Lines:
    """All was tried: close, or try again what is not good."""
    if not shown.failing:
        close = "1 close the visit" if shown.visit else "1 close the job as proved"
        return [
            Line(),
            Line(f"--- All {shown.tried} are good ---", "head"),
            *drift_lines(shown),
            Line(f"{close}   b back   q save and leave", "next"),
        ]
    what = "Not good, or not done" if shown.visit else "Not proved"
    end = "to end the visit so" if shown.visit else "to close it unproven"
    return [
        Line(),
        Line(f"--- {what}: {count(len(shown.failing), 'thing')} of {shown.tried} ---", "bad"),
        *(
            Line(f"{number}  {title}: {found}", indent=4, hang=4)
            for number, (title, found) in enumerate(shown.failing, start=1)
        ),
        *drift_lines(shown),
        Line(f"Type a number to try that again, u and why {end},", "next"),
        Line("or x and why if the furnace is shut down and tagged.", "next"),
        Line("b back   n note   ! danger, stop work   q save and leave   h all keys", "note"),
    ]


def drift_lines(shown: ProofsDone) -> Lines:
    """What moves from year to year, with what to do about it."""
    if not shown.drifts:
        return []
    lines = [Line("What moves from visit to visit:", "head")]
    for title, how, meaning in shown.drifts:
        lines.append(Line(f"{title}: {how}.", "warn", indent=2, hang=2))
        lines += [Line(meaning, indent=4)] if meaning else []
    return lines
