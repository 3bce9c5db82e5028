"""What the pocket page knows of one type of furnace, compiled from the model as plain data.

Every figure that the page reckons with stands here: none is written down in the page.
"""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Iterator
from itertools import groupby
from typing import Any

import numpy as np

from lightoff.cli import proof_views, setup
from lightoff.cli.danger import STANDING_NOTE, STOP_WORK
from lightoff.cli.lines import HEADS
from lightoff.cli.pocket.asked import asked, bound
from lightoff.engine.model import NO_FAULT, NOT_REACHED, SOMETHING_ELSE, Knowledge, Rule
from lightoff.engine.reasoning import belief, interview, pairs, proof
from lightoff.engine.reasoning.advice import texts
from lightoff.engine.reasoning.diagnosis import Diagnosis
from lightoff.engine.reasoning.planning import (
    choice,
    costs,
    lookahead,
    problem,
    repairing,
    rollout,
    safer,
    simpler,
)
from lightoff.engine.reasoning.table import Floats, Table
from lightoff.engine.service.proving import Item, demanded

Data = dict[str, Any]

LONGEST_RUN = 0xFFFF
"""Runs of equal figures are written with two bytes for the length."""

EFFECTS = {
    "stop": "stop",
    "caution": "caution",
    "ask": "ask",
    "holdBack": "hold_back",
    "oblige": "oblige",
    "leaveOpen": "leave_open",
}
"""Name on the page -> name in the rules."""
WARNINGS = ("stop", "caution")


def book_of(diagnosis: Diagnosis, version: str) -> Data:
    """Everything the page needs to diagnose one type of furnace."""
    table, known, furnace = diagnosis.table, diagnosis.knowledge, diagnosis.furnace
    checks = [_check(diagnosis, index) for index in range(len(table.checks))]
    repairs, proofs = _repairs(diagnosis), _proofs(diagnosis)
    proving = [item["check"] for item in proofs["items"].values()]
    hazards = {each for one in [*checks, *proving, *repairs.values()] for each in one["hazards"]}
    rules = [_rule(rule) for rule in diagnosis.adviser.rules]
    said = [rule["then"] for rule in rules]
    warned = {text for then in said for key in WARNINGS for text in then.get(key, ())}
    return {
        "version": version,
        "furnace": {"id": furnace.id, "name": furnace.entry.name, "seen": list(furnace.entry.seen)},
        "figures": figures(),
        "hypotheses": _hypotheses(table),
        "faults": {
            fault.id: {
                "name": fault.entry.name,
                "because": fault.entry.because,
                "changes": [".".join(place) for place in fault.overrides],
            }
            for fault in furnace.faults.values()
        },
        "parts": {id_: part.entry.name for id_, part in furnace.parts.items()},
        "table": packed(table.likelihood),
        "checks": checks,
        "aspects": _aspects(diagnosis),
        "orders": {
            "powerFirst": setup.POWER_FIRST,
            "powerLast": setup.POWER_LAST,
            "closing": setup.CLOSING,
            "leftOff": sorted(setup.LEFT_OFF),
        },
        "tools": {id_: tool.name for id_, tool in known.tools.items()},
        "atHand": sorted(interview.AT_HAND),
        "pastTheCustomer": interview.PAST_THE_CUSTOMER,
        "repairs": repairs,
        "proofs": proofs,
        "rules": rules,
        "cautions": {
            id_: {"title": each.title, "text": each.text, "short": each.short}
            for id_, each in known.cautions.items()
            if id_ in {*hazards, *warned, *STOP_WORK, STANDING_NOTE}
        },
        "standingNote": STANDING_NOTE,
        "stopWork": STOP_WORK,
    }


def figures() -> dict[str, float | str]:
    """The figures of the reasoning, by their names on the page."""
    return {
        "noFault": NO_FAULT,
        "somethingElse": SOMETHING_ELSE,
        "notCured": belief.NOT_CURED,
        "unlikely": problem.UNLIKELY,
        "mostHypotheses": problem.MOST_HYPOTHESES,
        "verifyMinutes": costs.VERIFY_MINUTES,
        "referMinutes": costs.REFER_MINUTES,
        "wrongMinutes": costs.WRONG_REPAIR_MINUTES,
        "mostTried": repairing.MOST_TRIED,
        "unaffordable": repairing.UNAFFORDABLE,
        "separates": rollout.SEPARATES,
        "leastReach": rollout.LEAST_REACH,
        "mostDepth": rollout.MOST_DEPTH,
        "harder": rollout.HARDER,
        "unlikelySuspects": simpler.UNLIKELY_SUSPECTS,
        "unlikelyAnswer": simpler.UNLIKELY_ANSWER,
        "alike": simpler.ALIKE,
        "mostChecks": lookahead.MOST_CHECKS,
        "manySuspects": lookahead.MANY_SUSPECTS,
        "firsts": lookahead.FIRSTS,
        "firstsByPrice": lookahead.FIRSTS_BY_PRICE,
        "firstRepairs": lookahead.FIRST_REPAIRS,
        "worthTrying": lookahead.WORTH_TRYING,
        "fewSuspects": lookahead.FEW_SUSPECTS,
        "fewChecks": lookahead.FEW_CHECKS,
        "fewStates": lookahead.FEW_STATES,
        "asMuch": safer.AS_MUCH,
        "comparableShare": safer.COMPARABLE_SHARE,
        "comparableMinutes": safer.COMPARABLE_MINUTES,
        "worthMinutes": choice.WORTH_ASKING,
        "worthAsking": interview.WORTH_ASKING,
        "worthALook": interview.WORTH_A_LOOK,
        "firstLooks": interview.FIRST_LOOKS,
        "watched": interview.WATCHED,
        "pairShare": pairs.PAIR_SHARE,
        "pairAtLeast": pairs.AT_LEAST,
        "promising": pairs.PROMISING,
        "atTheEnd": proof.AT_THE_END,
    }


# --- the table --------------------------------------------------------------------


def packed(likelihood: Floats) -> Data:
    """The table as distinct figures, and runs of them row by row, as base64.

    Each run takes two bytes for the figure and two for its length, low byte first.
    """
    distinct, places = np.unique(likelihood, return_inverse=True)
    runs = [
        (value, length)
        for value, group in groupby(places.ravel().tolist())
        for length in _lengths(sum(1 for _ in group))
    ]
    content = np.array(runs, dtype="<u2").tobytes()
    return {"figures": distinct.tolist(), "runs": b64encode(content).decode("ascii")}


def _lengths(whole: int) -> Iterator[int]:
    """A length in pieces that can be written."""
    while whole > 0:
        yield min(whole, LONGEST_RUN)
        whole -= LONGEST_RUN


def _hypotheses(table: Table) -> list[Data]:
    return [
        {
            "id": each.id,
            "faults": each.faults,
            "repair": belief.repair_class(each),
            "prior": each.prior,
            "showing": each.showing,
            "shows": each.shows,
        }
        for each in table.hypotheses
    ]


# --- checks -----------------------------------------------------------------------


def _check(diagnosis: Diagnosis, index: int) -> Data:
    """A check as it is asked, and what the reasoning knows of it."""
    table, prices = diagnosis.table, diagnosis.costs
    check = diagnosis.checks[table.checks[index]]
    entry = check.entry
    return {
        **asked(check),
        "words": entry.words,
        "phase": entry.phase,
        "told": entry.reads.told,
        "stalls": entry.reads.stalls,
        "tries": bool(check.trying),
        "provokes": bool(entry.provokes),
        "lasting": check.id in table.lasting,
        "misread": check.misread,
        "minutes": float(prices.minutes[index]),
        "hazardMinutes": float(prices.hazard_minutes[index]),
        "needs": costs.setup_arrays(prices).needs[index].tolist(),
        "live": check.id in prices.live,
        "notReached": NOT_REACHED,
    }


def _aspects(diagnosis: Diagnosis) -> list[Data]:
    """The aspects of the set-up: states by number, with minutes and words."""
    arrays = costs.setup_arrays(diagnosis.costs)
    return [
        {
            "id": aspect,
            "states": list(arrays.numbers[aspect]),
            "minutes": list(diagnosis.costs.transitions[aspect].values()),
            "start": arrays.numbers[aspect][diagnosis.costs.start[aspect]],
            "how": [
                diagnosis.knowledge.aspects[aspect].how[state] for state in arrays.numbers[aspect]
            ],
        }
        for aspect in arrays.aspects
    ]


# --- repairs and rules ------------------------------------------------------------


def _repairs(diagnosis: Diagnosis) -> dict[str, Data]:
    """The repairs that the furnace may need, and what to do where none is."""
    known = diagnosis.knowledge.repairs
    wanted = {belief.repair_class(each): each.repair for each in diagnosis.table.hypotheses}
    return {
        class_: {
            "title": known[id_].title,
            "minutes": known[id_].minutes,
            "price": costs.price_of_repair(diagnosis.costs, id_),
            "hazards": known[id_].hazards,
            "tools": known[id_].tools,
            "replaced": known[id_].replaced_whole,
            "sections": [(HEADS[name], lines) for name, lines in known[id_].sections],
            "staysOff": known[id_].stays_off,
        }
        for class_, id_ in wanted.items()
    }


def _proofs(diagnosis: Diagnosis) -> Data:
    """What proves repairs: each thing, and the list that each repair demands."""
    listed = {}
    items = {}
    for repair in {each.repair for each in diagnosis.table.hypotheses if each.faults}:
        demands = demanded(diagnosis.knowledge, diagnosis.furnace.id, [repair])
        listed[repair] = [item.id for item in demands]
        items.update({item.id: _proof(diagnosis.knowledge, item) for item in demands})
    return {"by": listed, "items": items}


def _proof(knowledge: Knowledge, item: Item) -> Data:
    return {
        "title": item.proof.title,
        "check": asked(item.check),
        "minutes": item.check.entry.minutes,
        "setup": proof_views.setup_of(knowledge, item.check),
        "good": [each.id for each in item.outcomes],
        "goodInWords": proof_views.good_in_words(item),
        "expected": proof_views.expected_in_words(item),
        "clears": item.proof.clears,
        "out": item.proof.out,
    }


def _rule(rule: Rule) -> Data:
    then: dict[str, list[str]] = {}
    for entry in rule.entry.then:
        for name, effect in EFFECTS.items():
            if said := texts(entry, effect):
                then.setdefault(name, []).extend(said)
    return {
        "id": rule.id,
        "says": rule.entry.says,
        "when": [
            {
                "subject": each.subject,
                "name": each.name,
                "words": sorted(each.words),
                "low": bound(each.low),
                "high": bound(each.high),
            }
            for each in rule.conditions
        ],
        "derives": rule.derives,
        "weighs": rule.weighs,
        "then": then,
    }
