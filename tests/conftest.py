"""The shipped knowledge and the traces of the first furnace, made once for a whole test run."""

import os
from collections.abc import Callable
from functools import cache
from types import MappingProxyType

import pytest

# As the command does: small matrices, and threads cost more than they give.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from lightoff.engine import library
from lightoff.engine.machine.plan import Machine, Plan
from lightoff.engine.machine.simulate import simulate
from lightoff.engine.machine.trace import Trace
from lightoff.engine.model import Furnace, Knowledge, Overrides, Value

# What a person has set for every day is not what the tests are about.
for name in ("LIGHTOFF_KNOWLEDGE", "LIGHTOFF_OPTIONS", "LIGHTOFF_FURNACE"):
    os.environ.pop(name, None)

FURNACE = "two-pipe-condensing"
NOTHING: Overrides = MappingProxyType({})


EVERY: dict[str, Callable[[Furnace], bool]] = {
    "any_trace": lambda furnace: True,
    "glow_trace": lambda furnace: "igniter-warm-up" in furnace.sequence.steps,
}
"""Fixture that stands for every trace of some furnaces -> which ones."""


@cache
def loaded() -> Knowledge:
    return library.load()


@cache
def planned(furnace: str = FURNACE) -> Plan:
    return Plan(loaded().furnaces[furnace])


@cache
def traced(
    faults: tuple[str, ...],
    further: frozenset[tuple[tuple[str, str], Value]],
    furnace_id: str = FURNACE,
) -> Trace:
    furnace = loaded().furnaces[furnace_id]
    overrides: dict[tuple[str, str], Value] = {}
    for fault in faults:
        overrides |= furnace.faults[fault].overrides
    return simulate(Machine(planned(furnace_id), overrides | dict(further)))


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    """Furnaces sound and with every single fault, for a test that asks for `any_trace` or such."""
    for name, is_meant in EVERY.items():
        if name in metafunc.fixturenames:
            cases = [
                (furnace.id, faults)
                for furnace in loaded().furnaces.values()
                if is_meant(furnace)
                for faults in [(), *((fault,) for fault in furnace.faults)]
            ]
            ids = [f"{furnace}:{''.join(faults) or 'no-fault'}" for furnace, faults in cases]
            metafunc.parametrize(name, cases, indirect=True, ids=ids)


@pytest.fixture(scope="session")
def knowledge() -> Knowledge:
    return loaded()


@pytest.fixture(scope="session")
def furnace() -> Furnace:
    return loaded().furnaces[FURNACE]


@pytest.fixture(scope="session")
def plan() -> Plan:
    return planned()


@pytest.fixture(scope="session")
def trace_of() -> Callable[..., Trace]:
    """`trace_of(*fault ids, overrides={(part, value): ...})`; an override wins over a fault."""

    def trace(*faults: str, overrides: Overrides = NOTHING) -> Trace:
        return traced(faults, frozenset(overrides.items()))

    return trace


@pytest.fixture
def healthy(trace_of: Callable[..., Trace]) -> Trace:
    return trace_of()


@pytest.fixture
def any_trace(request: pytest.FixtureRequest) -> Trace:
    furnace, faults = request.param
    return traced(faults, frozenset(), furnace)


@pytest.fixture
def glow_trace(request: pytest.FixtureRequest) -> Trace:
    """Of the furnaces that light with a hot surface: a board, an inducer, a trial."""
    furnace, faults = request.param
    return traced(faults, frozenset(), furnace)
