"""Yearly visits of earlier years, made up: one furnace, its label, its flame current."""

from lightoff.engine.reasoning.job import Closed, Noted, Proved, Started, replay
from lightoff.engine.reasoning.visits import Visit
from tests.cli.talk import FURNACE

LABEL = "Serial 1207"
OF_FLAME = {"proof": "flame-current", "check": "flame-current-heating", "verdict": "good"}


def at(day):
    return f"{day}T09:00:00+00:00"


def started(day="2026-11-27", label=LABEL, furnace=FURNACE):
    note = (Noted(time=at(day), about="label", text=label),) if label else ()
    return (Started(time=at(day), furnace=furnace, version="0", purpose="yearly"), *note)


def past(day, figure, label=LABEL, furnace=FURNACE):
    """The events of a visit of an earlier year with its flame current."""
    reading = Proved(time=at(day), outcome="normal", entered=figure, **OF_FLAME)
    closed = Closed(time=at(day), how="serviced", proof="proven")
    return (*started(day, label, furnace), reading, closed)


def visits(*events):
    return tuple(Visit(f"job-{number:04d}", replay(each)) for number, each in enumerate(events, 1))


BEFORE = (past("2024-11-25", "3.9 uA"), past("2025-11-26", "3.1 uA", "serial  1207"))
