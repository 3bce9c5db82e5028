"""Views of a job -> lines on a screen: plain words, the next thing to do last."""

from __future__ import annotations

from collections.abc import Iterable

from lightoff.cli.lines import Line, Lines, caution_lines, numbered, sign_lines
from lightoff.cli.safety_screens import stop_lines
from lightoff.cli.suspect_screens import standing_lines, suspects_lines, why_lines
from lightoff.cli.views import (
    Advice,
    Dangers,
    Parting,
    Question,
    RepairList,
    Screen,
    Trial,
    View,
    Why,
)
from lightoff.cli.wording import Suspects, minutes_in_words, percent

SETTLED = 0.9
"""Share from which a repair is advised as found; below it is the best guess."""

PROOF = (
    "Watch one full call from the thermostat, from standby until the burners are off again.",
    "Then a second one: a clean start proves little.",
    "Test jumpers out and counted, safeties back in service, gas joints you touched leak-tested.",
    "Doors on, door switch working.",
)
"""What closes a repair (common practice)."""

KEYS_AT_QUESTION = (
    "? don't know   b back   w why this   s skip   p suspects",
    "r I repaired something   ! danger, stop work   q save and leave",
)
KEYS_AT_ADVICE = (
    "b back   p suspects   r I repaired something else",
    "! danger, stop work   q save and leave",
)
KEYS_BACK = "b back   ! danger, stop work   q save and leave"
KEYS_AT_DANGER = "b back   q save and leave"


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
        case "":
            return []
        case words:
            return [Line(words, "warn" if view.refused else "")]


def screen_lines(shown: Screen, again: bool = False, refused: bool = False) -> Lines:
    """What is asked now; shortened if it stood there before."""
    match shown:
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
        case Parting():
            return parting_lines(shown)


# --- a question -------------------------------------------------------------------


def question_lines(shown: Question) -> Lines:
    """Where the suspects stand, the check, and how to answer."""
    return [*standing_lines(shown.standing), *next_check_lines(shown), *keys_lines(shown)]


def next_check_lines(shown: Question) -> Lines:
    """A check as it is to be done: set-up, cautions, the question, how, the answers."""
    return [
        Line(),
        Line(_question_head(shown), "head"),
        *setup_lines(shown.setup),
        *caution_lines(shown.cautions),
        Line(shown.ask, "next"),
        *numbered(shown.how),
        *answer_lines(shown),
    ]


def _question_head(shown: Question) -> str:
    further = ", looking further" if shown.further else ""
    return f"--- Check {shown.number} ({minutes_in_words(shown.minutes)}{further}) ---"


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
    return [Line(how_to_answer(shown)), *(Line(keys, "note") for keys in KEYS_AT_QUESTION)]


def how_to_answer(shown: Question) -> str:
    """What may be typed as an answer, and the unit of a bare number."""
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
    return [Line(), *_verdict(shown), *caution_lines(shown.cautions), *numbered(shown.how)]


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
        choices = "1 close the job   2 look further"
    return [Line(choices, "next"), *(Line(keys, "note") for keys in KEYS_AT_ADVICE)]


def repair_list_lines(shown: RepairList) -> Lines:
    """Repairs to choose from."""
    rows = [
        Line(f"{number}  {title} ({percent(share)})", indent=2, hang=3)
        for number, (title, share) in enumerate(shown.rows, start=1)
    ]
    ask = "Which repair did you do? Type its number, or words of another, such as: hose"
    return [Line(), *rows, Line(ask, "next"), Line(KEYS_BACK, "note")]


def trial_lines(shown: Trial) -> Lines:
    """The furnace is tried after a repair."""
    return [
        Line(),
        Line(f"Done: {shown.title}"),
        *put_back_lines(shown.put_back),
        Line("Run a full call for heat and watch it to the end.", "next"),
        Line("1 it works now   2 it still fails", "next"),
        Line(KEYS_BACK, "note"),
    ]


def put_back_lines(put_back: Iterable[str]) -> Lines:
    """What to bring back to how it was."""
    return [Line(f"Put back: {words}", indent=2, hang=2) for words in put_back]


def danger_lines(shown: Dangers) -> Lines:
    """Which danger was met is asked."""
    return [
        Line(),
        Line("What have you met?", "head"),
        *sign_lines(shown.signs),
        Line("Type its number: the work stops and you are told what to do.", "next"),
        Line(KEYS_AT_DANGER, "note"),
    ]


def parting_lines(shown: Parting) -> Lines:
    """How the job ended, and what is still to do."""
    if shown.stop:
        return stop_lines(shown.stop)
    if shown.how is None:
        return put_back_lines(shown.put_back)
    if shown.stays_off:
        last = "The furnace stays off and tagged. The job is closed."
        return [Line(), *put_back_lines(shown.put_back), Line(last, "bad")]
    if shown.how == "found":
        return [
            Line(),
            Line(f"Mended: {shown.title}. Before you leave:", "good"),
            *put_back_lines(shown.put_back),
            *numbered(PROOF),
            Line("The job is closed."),
        ]
    return [Line(), *put_back_lines(shown.put_back), Line("The job is closed.")]


def saved_line(resume: str) -> Line:
    """How to go on another time: the command that takes the job up again."""
    return Line(f"Saved. Take it up again with: {resume}", "next")
