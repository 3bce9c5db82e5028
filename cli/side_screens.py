"""Screens that a key leads to: lists to choose from, a trial, what is open, a danger."""

from __future__ import annotations

from collections.abc import Iterable

from lightoff.cli.lines import Line, Lines, sign_lines
from lightoff.cli.views import CheckList, Dangers, OpenList, RepairList, Trial
from lightoff.cli.wording import percent

KEYS_BACK = "b back   ! danger, stop work   q save and leave"
KEYS_AT_DANGER = "b back   q save and leave"


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


def check_list_lines(shown: CheckList) -> Lines:
    """Checks of which one is to be told."""
    return [
        Line(),
        Line("Which of these do you mean?", "head"),
        *sign_lines(shown.asks),
        Line("Type its number, or other words.", "next"),
        Line(KEYS_BACK, "note"),
    ]


def open_list_lines(shown: OpenList) -> Lines:
    """What must be put right before the job may be closed."""
    return [
        Line(),
        Line("Still open:", "head"),
        *sign_lines(shown.items),
        Line("Type the number of what you have put right.", "next"),
        Line(KEYS_BACK, "note"),
    ]


def danger_lines(shown: Dangers) -> Lines:
    """Which danger was met is asked."""
    return [
        Line(),
        Line("What have you met?", "head"),
        *sign_lines(shown.signs),
        Line("Type its number: the work stops and you are told what to do.", "next"),
        Line(KEYS_AT_DANGER, "note"),
    ]


def put_back_lines(put_back: Iterable[str]) -> Lines:
    """What to bring back to how it was."""
    return [Line(f"Put back: {words}", indent=2, hang=2) for words in put_back]
