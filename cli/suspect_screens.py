"""Where the suspects stand, and why a check: facts -> lines on a screen."""

from __future__ import annotations

from lightoff.cli.asides import Listing, Why
from lightoff.cli.lines import Line, Lines
from lightoff.cli.wording import Standing, Suspects, count, minutes_in_words, percent
from lightoff.cli.works import Works


def standing_lines(shown: Standing) -> Lines:
    """The likeliest repairs in short, and how much is left to do."""
    rows = [
        Line(f"{percent(row.share):>4}  {row.repair}{_for(row.faults)}", indent=1, hang=6)
        for row in shown.rows
    ]
    more = f"and {shown.more} more; about" if shown.more else "About"
    left = f"{more} {count(shown.checks_left, 'check')} to go (p shows all suspects)."
    return [Line("Likeliest repairs:"), *rows, Line(left, "note", indent=2 if shown.more else 0)]


def _for(faults: str) -> str:
    return f" ({faults})" if faults else ""


def suspects_lines(shown: Suspects) -> Lines:
    """The table of suspects."""
    lines: Lines = [Line(), Line("Suspects:", "head")]
    for number, (share, part, fault, repair) in enumerate(shown.rows, start=1):
        where = f"{part}: {fault}" if part else fault
        then = f"; {repair}" if repair else ""
        lines.append(Line(f"{number:>2}  {percent(share):>4}  {where}{then}", indent=1, hang=10))
    if shown.more:
        more = f"and {shown.more} more, together {percent(shown.share_of_more)}."
        lines.append(Line(more, "note", indent=2))
    return lines


def why_lines(shown: Why) -> Lines:
    """What a check is for."""
    lines = [
        Line(),
        *([Line(f"A rule wants it: {shown.wanted}")] if shown.wanted else []),
        Line(
            f"Why this check: for {minutes_in_words(shown.minutes)} it is expected to tell apart "
            f"{percent(shown.gain)} of the pairs of suspects that need different repairs."
        ),
        Line(
            f"Repairing by the best guess is put at {shown.repair_now:.0f} min now, parts and "
            f"wrong repairs counted as minutes; at {shown.repair_after:.0f} min with this check "
            "first."
        ),
    ]
    for after in shown.outcomes:
        then = ", ".join(f"{repair} {percent(share)}" for repair, share in after.repairs[:2])
        lines.append(Line(f"{after.outcome} ({percent(after.chance)}): then {then}", "", 2, 2))
    return lines


def works_lines(shown: Works) -> Lines:
    """How to catch a fault that does not show now."""
    hidden = ", or ".join(f"{name} ({percent(share)})" for name, share in shown.hidden)
    lines = [Line("It works now, but a fault may be hidden", "head"), Line(f"{hidden}.", "", 2, 2)]
    lines += [Line(f"Bring it out (2 asks it): {ask}", "", 2, 2) for ask in shown.provoke]
    for ask, shows in shown.record:
        lines.append(Line(f"Leave recording: {ask} When it fails:", "", 2, 2))
        lines += [Line(f"{text}, with: {name}", "", 4, 2) for name, text in shows]
    return [*lines, Line("c runs another call for heat: one good call proves little.", "next", 2)]


def listing_lines(shown: Listing) -> Lines:
    """A head, and what stands under it."""
    return [Line(), Line(shown.head, "head"), *(Line(row, "", 2, 3) for row in shown.rows)]
