"""Views of a job -> lines on a screen: plain words, the next thing to do last."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from lightoff.cli.asides import Listing, Why
from lightoff.cli.lines import Line, Lines, caution_lines, numbered, section_lines
from lightoff.cli.proof_screens import done_lines, failed_lines, proof_lines
from lightoff.cli.proof_views import ProofFailed, ProofQuestion, ProofsDone
from lightoff.cli.safety_screens import (
    feature_lines,
    furnace_lines,
    make_safe_keys,
    make_safe_lines,
    stop_lines,
)
from lightoff.cli.side_screens import (
    check_list_lines,
    danger_lines,
    open_list_lines,
    put_back_lines,
    repair_list_lines,
    trial_lines,
)
from lightoff.cli.suspect_screens import (
    listing_lines,
    standing_lines,
    suspects_lines,
    why_lines,
    works_lines,
)
from lightoff.cli.views import (
    Advice,
    CheckList,
    Dangers,
    Feature,
    FurnaceList,
    OpenList,
    Parting,
    Question,
    RepairList,
    Screen,
    Signs,
    Trial,
    View,
)
from lightoff.cli.wording import Suspects, minutes_in_words, percent
from lightoff.engine.entries.checks import Phase
from lightoff.engine.reasoning.job import Proven

SETTLED = 0.9
"""Share from which a repair is advised as found; below it is the best guess."""

PROOF = (
    "Watch one full call from the thermostat, from standby until the burners are off again.",
    "Then a second one: a clean start proves little.",
    "Test jumpers out and counted, safeties back in service, gas joints you touched leak-tested.",
    "Doors on, door switch working.",
)
"""What closes a repair (common practice)."""

PARTING: Mapping[Proven, str] = {
    "proven": "{}: done and proved.",
    "unproven": "{}: done, not proved. Say so to the customer, in writing.",
    "tagged": "The furnace is shut down and tagged: power off, gas closed.",
}
"""How a job ends by how far it was proved."""

VISITED: Mapping[Proven, str] = {
    "proven": "Yearly visit done: all of it is good.",
    "unproven": "Yearly visit ended, not all of it good. Say so to the customer, in writing.",
}
"""How a yearly visit ends, where the furnace is not shut down."""

KEYS_AT_QUESTION = (
    "? don't know   b back   s skip   w why   p suspects   t tell something else",
    "! danger, stop work   q save and leave   h all keys",
)
KEYS_IN_INTERVIEW = (
    "? don't know   b back   s skip   i skip the interview   t tell something else",
    "! danger, stop work   q save and leave   h all keys",
)
KEYS_AT_ADVICE = (
    "b back   p suspects   e explain   r I repaired something else   t tell",
    "! danger, stop work   q save and leave   h all keys",
)
PHASES: Mapping[Phase, str] = {
    "make-safe": "make safe",
    "customer": "the customer",
    "first-look": "a look round",
    "watch": "watching a call",
    "narrow": "",
    "prove": "",
}
"""What a phase of the interview is called at the head of a question."""


def view_lines(view: View) -> Lines:
    """Everything shown after something was typed."""
    return [*note_lines(view), *screen_lines(view.screen, view.again, view.refused)]


def note_lines(view: View) -> Lines:
    """What answers the typed line: a sentence, the suspects, or why a check."""
    match view.note:
        case Suspects():
            return suspects_lines(view.note)
        case Why():
            return why_lines(view.note)
        case Listing():
            return listing_lines(view.note)
        case "":
            return []
        case words:
            return [Line(words, "warn" if view.refused else "")]


def screen_lines(shown: Screen, again: bool = False, refused: bool = False) -> Lines:
    """What is asked now; shortened if it stood there before."""
    match shown:
        case Signs():
            return make_safe_keys() if again else make_safe_lines(shown)
        case Feature():
            return [] if refused else feature_lines(shown)
        case FurnaceList():
            return [] if refused else furnace_lines(shown)
        case CheckList():
            return [] if refused else check_list_lines(shown)
        case OpenList():
            return [] if refused else open_list_lines(shown)
        case Question():
            return _answering(shown, refused) if again else question_lines(shown)
        case Advice():
            return advice_keys(shown) if again else [*advice_lines(shown), *advice_keys(shown)]
        case RepairList():
            return [] if refused else repair_list_lines(shown)
        case Trial():
            return [] if refused else trial_lines(shown)
        case Dangers():
            return [] if refused else danger_lines(shown)
        case ProofQuestion():
            return proof_lines(shown, again, refused)
        case ProofFailed():
            return [] if refused else failed_lines(shown)
        case ProofsDone():
            return [] if refused else done_lines(shown)
        case Parting():
            return parting_lines(shown)


# --- a question -------------------------------------------------------------------


def question_lines(shown: Question) -> Lines:
    """Where the suspects stand, the check, and how to answer."""
    settled = shown.phase == "customer" or shown.volunteered
    standing = [] if settled else standing_lines(shown.standing)
    return [*standing, *next_check_lines(shown), *keys_lines(shown)]


def next_check_lines(shown: Question) -> Lines:
    """A check as it is to be done: set-up, cautions, the question, how, the answers."""
    return [
        Line(),
        Line(_question_head(shown), "head"),
        *([Line(shown.wanted, "note", indent=2)] if shown.wanted else []),
        *setup_lines(shown.setup),
        *caution_lines(shown.cautions),
        Line(shown.ask, "next"),
        *numbered(shown.how),
        *answer_lines(shown),
    ]


def _question_head(shown: Question) -> str:
    if shown.volunteered:
        return "--- What did you find? ---"
    of = "looking further" if shown.further else PHASES[shown.phase]
    about = ", ".join(filter(None, [minutes_in_words(shown.minutes), of]))
    return f"--- Check {shown.number} ({about}) ---"


def setup_lines(setup: Iterable[str]) -> Lines:
    """What to change before the check, in order."""
    return [
        Line(f"{'Then' if number else 'First'}: {words}", indent=2, hang=2)
        for number, words in enumerate(setup)
    ]


def answer_lines(shown: Question) -> Lines:
    """The possible answers with what is typed for each."""
    mark = "#" if shown.unit else ""
    return [Line("Answers:")] + [
        Line(f"{mark}{number}  {words}", "name", indent=4, hang=4)
        for number, words in enumerate(shown.outcomes, start=1)
    ]


def keys_lines(shown: Question) -> Lines:
    """How to answer, and the other keys."""
    keys = KEYS_IN_INTERVIEW if shown.in_interview else KEYS_AT_QUESTION
    return [Line(how_to_answer(shown)), *(Line(each, "note") for each in keys)]


def how_to_answer(shown: Question) -> str:
    """What may be typed as an answer, and the unit of a bare number."""
    if shown.timed:
        return "Type its number, and the seconds it stayed there if you timed it: 4 45"
    if not shown.unit:
        return "Type the number of an answer."
    return f"Type the reading (a number alone is in {shown.unit}), or an answer such as #1."


def _answering(shown: Question, refused: bool) -> Lines:
    """The question once more: in one line after a refusal, with its answers after a look-up."""
    if refused:
        return [Line(how_to_answer(shown))]
    return [Line(), Line(shown.ask, "next"), *answer_lines(shown), *keys_lines(shown)]


# --- advice and the end -----------------------------------------------------------


def advice_lines(shown: Advice) -> Lines:
    """What is advised instead of a further check."""
    return [
        Line(),
        *_verdict(shown),
        *caution_lines(shown.cautions),
        *_needs(shown),
        *section_lines(shown.sections),
        *(works_lines(shown.works) if shown.works else []),
        *duty_lines(shown.obligations, shown.open_items),
    ]


def duty_lines(obligations: Iterable[str], open_items: Iterable[str]) -> Lines:
    """What must be done besides, and what is still to be put right."""
    return [
        *(Line(f"Besides: {words}", "warn", 2, 2) for words in obligations),
        *(Line(f"Still open: {words}", "warn", 2, 2) for words in open_items),
    ]


def _needs(shown: Advice) -> Lines:
    """What to bring: tools, and what is usually replaced."""
    tools = [Line(f"Tools: {'; '.join(shown.tools)}.", indent=2, hang=2)] if shown.tools else []
    parts = [Line(f"Replaced: {shown.replaced}", indent=2, hang=2)] if shown.replaced else []
    return tools + parts


def _verdict(shown: Advice) -> Lines:
    if shown.kind == "nothing-found":
        return [Line(f"--- {shown.title} ({percent(shown.share)} likely) ---", "head")]
    if shown.kind == "refer":
        return [Line(f"--- {shown.title} ---", "head")]
    sure = "" if shown.share >= SETTLED else " The best guess: no check left is worth its time."
    said = [Line(f"- {words}", indent=4, hang=2) for words in shown.evidence]
    if said:
        said.insert(0, Line(f"What speaks for it, against {shown.runner_up!r}:", indent=2, hang=2))
    return [
        Line(f"--- Repair: {shown.title} ({minutes_in_words(shown.minutes)}) ---", "head"),
        Line(f"Suspect: {shown.suspect}, {percent(shown.share)}.{sure}", "next"),
        Line(f"Were all else checked too, it would still lead: {percent(shown.stays)}.", indent=2),
        Line(shown.because, indent=2),
        *said,
    ]


def advice_keys(shown: Advice) -> Lines:
    """What may be typed at advice."""
    if shown.stays_off:
        choices = "1 done, it is off and tagged   3 look further"
    elif shown.kind == "repair":
        choices = "1 done, and it works   2 done, and it still fails   3 look further"
    else:
        choices = "1 close the job   2 look further   c run another call for heat"
    return [Line(choices, "next"), *(Line(keys, "note") for keys in KEYS_AT_ADVICE)]


def parting_lines(shown: Parting) -> Lines:
    """How the job ended, and what is still to do."""
    duties = duty_lines(shown.obligations, shown.open_items)
    if shown.stop:
        return [*stop_lines(shown.stop), *duties]
    if shown.how is None:
        return [*put_back_lines(shown.put_back), *duties]
    if shown.stays_off and shown.how == "found":
        last = "The furnace stays off and tagged. The job is closed."
        return [Line(), *put_back_lines(shown.put_back), *duties, Line(last, "bad")]
    if shown.proof:
        return [
            Line(),
            Line(_parting_words(shown), "bad" if shown.proof == "tagged" else "good"),
            *([Line(f"Why: {shown.reason}", indent=2, hang=2)] if shown.reason else []),
            *duties,
            Line("The job is closed."),
        ]
    if shown.how == "found":
        return [
            Line(),
            Line(f"Mended: {shown.title}. Before you leave:", "good"),
            *put_back_lines(shown.put_back),
            *numbered(PROOF),
            *duties,
            Line("The job is closed."),
        ]
    return [Line(), *put_back_lines(shown.put_back), *duties, Line("The job is closed.")]


def _parting_words(shown: Parting) -> str:
    """How far it was proved; only a visit is closed as serviced."""
    if shown.how == "serviced" and shown.proof in VISITED:
        return VISITED[shown.proof]
    return PARTING[shown.proof].format(shown.title)


def saved_line(resume: str) -> Line:
    """How to go on another time: the command that takes the job up again."""
    return Line(f"Saved. Take it up again with: {resume}", "next")
