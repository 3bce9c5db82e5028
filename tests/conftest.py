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


@cache
def loaded() -> Knowledge:
    return library.load()


@cache
def planned() -> Plan:
    return Plan(loaded().furnaces[FURNACE])


@cache
def traced(faults: tuple[str, ...], further: frozenset[tuple[tuple[str, str], Value]]) -> Trace:
    furnace = loaded().furnaces[FURNACE]
    overrides: dict[tuple[str, str], Value] = {}
    for fault in faults:
        overrides |= furnace.faults[fault].overrides
    return simulate(Machine(planned(), overrides | dict(further)))


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    """The sound furnace and every single fault of it, for a test that asks for `any_trace`."""
    if "any_trace" in metafunc.fixturenames:
        faults = tuple(loaded().furnaces[FURNACE].faults)
        metafunc.parametrize(
            "any_trace",
            [(), *((fault,) for fault in faults)],
            indirect=True,
            ids=["no-fault", *faults],
        )


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
    return traced(request.param, frozenset())
