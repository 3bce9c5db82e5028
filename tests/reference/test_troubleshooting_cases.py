"""Published and recomputed cases of troubleshooting, with their known answers.

What the best way on costs stands in test_planning_cases.py. Pattipati & Alexandridis,
IEEE Trans. SMC 20(4), 1990; Golovin, Krause, Ray, arXiv 1010.3091.
"""

import numpy as np
import pytest

from lightoff.engine.reasoning.belief import Finding, posterior, prior
from lightoff.engine.reasoning.planning.choice import decide
from lightoff.engine.reasoning.planning.repairing import repairs_of
from lightoff.engine.reasoning.planning.separation import ec2_gains
from lightoff.engine.reasoning.table import Hypothesis, Table
from tests.reasoning.tables import binary, costs, hypotheses, table, xor_table

# --- exclusive or: information about the repair 0, EC2 3/16 ----------------------------


def test_each_check_of_the_exclusive_or_tells_nothing_of_the_repair_and_cuts_3_16():
    belief = prior(xor_table())
    repairs = repairs_of(belief.table)
    for check in belief.table.checks:
        then = repairs.sums(belief.given(Finding(check, "a")).probabilities)
        assert then == pytest.approx([0.5, 0.5])
    assert ec2_gains(belief) == pytest.approx([0.1875, 0.1875])


# --- test sequencing: six faults, five checks of equal cost ----------------------------

STATES = ("00000", "01001", "00110", "10011", "11000", "11110")
CHANCES = (0.70, 0.01, 0.02, 0.10, 0.05, 0.12)


def sequencing_table() -> Table:
    columns = np.array([[float(state[check]) for state in STATES] for check in range(5)])
    checks = {f"t{check + 1}": binary(columns[check]) for check in range(5)}
    return table(hypotheses([f"r{index}" for index in range(6)], CHANCES), checks)


def split(left: frozenset[int], check: int) -> tuple[frozenset[int], frozenset[int]]:
    marked = frozenset(index for index in left if STATES[index][check] == "1")
    return marked, left - marked


def ec2_checks(of: Table, findings: tuple[Finding, ...], left: frozenset[int]) -> float:
    """Expected number of checks, times the chance of being here, if EC2 picks them."""
    if len(left) < 2:
        return 0.0
    check = int(ec2_gains(posterior(of, findings)).argmax())
    total = sum(CHANCES[index] for index in left)
    for outcome, part in zip("ab", split(left, check), strict=True):
        if part:
            total += ec2_checks(of, (*findings, Finding(f"t{check + 1}", outcome)), part)
    return total


def test_ec2_alone_begins_with_t1_and_needs_2_86_checks_as_information_gain_does():
    # The optimum begins with t2 or t4 and needs 2.18: one step of EC2 does not see that.
    gains = ec2_gains(prior(sequencing_table()))
    assert list(np.argsort(-gains) + 1) == [1, 4, 2, 3, 5]
    assert ec2_checks(sequencing_table(), (), frozenset(range(6))) == pytest.approx(2.86)


def test_every_fault_of_the_sequencing_case_is_found_when_a_wrong_repair_is_dear():
    of = sequencing_table()
    price = costs(of, repair=1000.0)
    for truth, state in enumerate(STATES):
        belief = prior(of)
        while (decision := decide(belief, price, {})).kind == "check":
            outcome = "a" if state[int(decision.check[1]) - 1] == "1" else "b"
            belief = belief.given(Finding(decision.check, outcome))
        assert decision.repair == f"r{truth}"


# --- one pass proves little ------------------------------------------------------------


def test_an_intermittent_fault_fades_slowly_with_each_good_call():
    """Prior 0.3, P(good call | faulty) 0.6, good calls 0 to 5."""
    shows = 0.4
    fault = {"faults": ("loose",), "repair": "mend", "shows": shows}
    kinds = (
        Hypothesis("loose", prior=0.3 * shows, **fault),
        Hypothesis("loose, hidden", prior=0.3 * (1.0 - shows), showing=False, **fault),
        Hypothesis("no-fault", (), "leave", 0.7),
    )
    of = table(kinds, {"works": binary([0.0, 1.0, 1.0])})
    belief = prior(of)
    shares = [belief.probabilities[:2].sum()]
    for _ in range(5):
        belief = belief.given(Finding("works", "a")).in_another_call()
        shares.append(belief.probabilities[:2].sum())
    assert shares == pytest.approx([0.3, 0.2045, 0.1337, 0.0847, 0.0526, 0.0323], abs=5e-5)
