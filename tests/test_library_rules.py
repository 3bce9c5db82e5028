"""Rules of a knowledge folder: resolved as written, and each mistake told with its line."""

from pathlib import Path

import pytest

from lightoff.engine import library
from lightoff.engine.library.chaining import Situation, chain, holds
from lightoff.engine.library.effects import RULED_OUT
from lightoff.engine.library.examples import answer_of, situation_of
from lightoff.engine.library.readings import ReadingError
from lightoff.engine.library.rules import any_of_each
from lightoff.engine.model import NOT_REACHED, Band, Knowledge, Place, RuleCondition
from tests.small_knowledge import CHECKS, FURNACE, RULES, SMALL, edited, line_of, mistakes, write


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory) -> Knowledge:
    return library.load(write(tmp_path_factory.mktemp("small"), SMALL))


# --- the good path ----------------------------------------------------------------


def test_conditions_are_resolved_in_si_units(small: Knowledge) -> None:
    conditions = {id_: rule.conditions for id_, rule in small.rules.items()}
    assert conditions["slow-onset"] == (
        RuleCondition("found", "since-when", words=frozenset({"slow"})),
    )
    assert conditions["worn-draft"] == (
        RuleCondition("fact", "wears-out"),
        RuleCondition("stalls-in", "", words=frozenset({"proving-draft"})),
    )
    assert conditions["look-at-the-vent"] == (
        RuleCondition("fact", "draft-worn"),
        RuleCondition("suspect", "vent", low=0.3),
        RuleCondition("found", "volts-in-retry", low=18.0),
    )
    assert conditions["nothing-to-measure-with"] == (
        RuleCondition("lacks-tool", "meter"),
        RuleCondition("repaired", "mend"),
        RuleCondition("licence", "", words=frozenset({"none"})),
    )


def test_a_rule_says_what_it_derives_and_what_it_weighs(small: Knowledge) -> None:
    rule = small.rules["worn-draft"]
    assert rule.derives == ("draft-worn",)
    assert rule.weighs == (("igniter.aged", 3.0), ("vent", 3.0), ("hose.off", RULED_OUT))
    assert small.rules["look-at-the-vent"].weighs == ()


def test_rules_keep_the_order_of_the_file_and_their_places(small: Knowledge) -> None:
    assert list(small.rules) == [
        "slow-onset",
        "worn-draft",
        "look-at-the-vent",
        "nothing-to-measure-with",
    ]
    assert small.places["rule", "worn-draft"] == Place(RULES, line_of(RULES, "- id: worn-dra"), 3)


def test_a_folder_may_have_no_rules(tmp_path: Path) -> None:
    texts = {name: text for name, text in SMALL.items() if name != RULES}
    assert library.load(write(tmp_path, texts)).rules == {}


def test_what_is_told_is_a_check_of_its_outcomes(small: Knowledge) -> None:
    check = small.checks["small"]["since-when"]
    assert check.dimension == ""
    assert [(each.id, each.band) for each in check.outcomes] == [
        ("sudden", Band(words=frozenset({"sudden"}))),
        ("slow", Band(words=frozenset({"slow"}))),
    ]
    assert (check.entry.phase, check.entry.opens, check.entry.words) == (
        "customer",
        "the cover",
        ["onset"],
    )


def test_a_condition_may_ask_for_a_step_never_reached(tmp_path: Path) -> None:
    texts = edited(RULES, "volts-in-retry, above: 18 V", "volts-in-retry, is: not-reached")
    texts[RULES] = texts[RULES].replace("volts-in-retry: 24 V", "volts-in-retry: not-reached")
    rule = library.load(write(tmp_path, texts)).rules["look-at-the-vent"]
    assert rule.conditions[2].words == {NOT_REACHED}


def test_a_bare_found_holds_for_any_answer_but_dont_know(tmp_path: Path) -> None:
    texts = edited(RULES, "since-when, is: slow", "since-when")
    texts[RULES] = texts[RULES].replace("[{found: {since-when: sudden}}]", "[{found: {}}]")
    texts[RULES] = texts[RULES].replace("found: {}", "found: {since-when: dont-know}")
    rule = library.load(write(tmp_path, texts)).rules["slow-onset"]
    assert rule.conditions == (RuleCondition("found", "since-when"),)


# --- mistakes ---------------------------------------------------------------------

SLOW = "when: [{found: since-when, is: slow}]"
VOLTS = "{found: volts-in-retry, above: 18 V}"
WEIGH = "{weigh: [igniter.aged, vent], by: 3}"
SPARE = "spares: [{found: {since-when: sudden}}]"
CHAIN = "{derive: draft-worn}]\n  source: from"
BACK = "{derive: wears-out}]"
SAYS = "says: What comes slowly is wear."

# fmt: off
CASES = [
    # shape
    (SLOW, "when: [{fond: since-when}]", "no key 'fond' here; did you mean found?"),
    (SLOW, "when: [{found: since-when, is: 3}]", "put it in quotes"),
    (SLOW, "when: [{found: since-when, is: true}]", "true or false"),
    ("licence: none}]", "licence: oil}]", "'oil' is not allowed here; known are"),
    ("by: 3", "by: much", "should be a number or nothing, not text"),
    # conditions
    (SLOW, "when: []", "a rule without a condition would always fire"),
    (SLOW, "when: [{is: slow}]", "a condition has one subject, not 0; give one of found, stalls-i"),
    (SLOW, "when: [{found: since-when, fact: draft-worn}]", "one subject, not 2"),
    (SLOW, "when: [{found: since-wen, is: slow}]", "no check is called 'since-wen'; did you mean"),
    (SLOW, "when: [{found: since-when, is: slo}]", "no outcome of since-when is called 'slo'; did"),
    (SLOW, "when: [{found: since-when, is: []}]", "this list is empty; name one or more"),
    (SLOW, "when: [{found: since-when, is: [slow, slow]}]", "slow stands here twice; keep it once"),
    (SLOW, "when: [{found: since-when, is: not-reached}]", "no outcome of since-when is called 'n"),
    (SLOW, "when: [{found: since-when, above: 2 V}]", "since-when is answered in words; use `is`"),
    (SLOW, "when: [{found: since-when, is: slow}, {found: since-when, is: slow}]",
     "this condition stands here twice; keep it once"),
    (VOLTS, "{found: volts-in-retry, is: live, above: 18 V}", "`is` and `above` exclude each othe"),
    (VOLTS, "{found: volts-in-retry, above: 18 ohm}", "18 ohm is a resistance, not a voltage"),
    (VOLTS, "{found: volts-in-retry, above: '18'}", "18 has no unit; give it in V, mV"),
    (VOLTS, "{found: volts-in-retry, above: 18 V, below: 18 V}", "no reading lies above and below"),
    ("{fact: draft-worn}, ", "{fact: draft-wrn}, ", "no fact that some rule derives is called 'dr"),
    ("{fact: draft-worn}, ", "{fact: draft-worn, is: yes}, ", "`is` says nothing of `fact`; take"),
    ("{stalls-in: [proving-draft]}", "{stalls-in: [proving]}", "no step of a healthy call is call"),
    ("{stalls-in: [proving-draft]}", "{stalls-in: []}", "this list is empty"),
    ("{stalls-in: [proving-draft]}", "{stalls-in: heating}", "no check tells that a call stalls i"),
    ("{suspect: vent, above: 30 %}", "{suspect: vnt, above: 30 %}", "'vnt'; did you mean vent?"),
    ("{suspect: vent, above: 30 %}", "{suspect: cock, above: 30 %}", "no part with a fault, or PA"),
    ("{suspect: vent, above: 30 %}", "{suspect: vent}", "a suspect is always more or less likely"),
    ("{suspect: vent, above: 30 %}", "{suspect: vent, above: 100 %}", "100 % is no share; give mo"),
    ("{suspect: vent, above: 30 %}", "{suspect: vent, above: 30 V}", "30 V is a voltage, not a fr"),
    ("{suspect: vent, above: 30 %}", "{suspect: vent, above: 3 %, below: 9 %}", "`below` says not"),
    ("{lacks-tool: meter}", "{lacks-tool: metr}", "no tool is called 'metr'; did you mean meter?"),
    ("{repaired: mend}", "{repaired: mnd}", "no repair is called 'mnd'; did you mean mend?"),
    # effects
    ("then: [{derive: wears-out}]", "then: []", "this rule has no effect; give it one"),
    ("{oblige: Find the cause.}", "{}", "an effect is of one kind, not 0; give one of stop, cauti"),
    ("{ask: thermostat-looks}", "{ask: stalls, caution: live}", "an effect is of one kind, not 2"),
    ("{oblige: Find the cause.}", "{oblige: ' '}", "`oblige` has nothing to say; fill it in"),
    ("{stop: live}", "{stop: lve}", "no caution is called 'lve'; did you mean live?"),
    ("{caution: live}", "{caution: lve}", "no caution is called 'lve'; did you mean live?"),
    ("{ask: thermostat-looks}", "{ask: thermostat}", "no check is called 'thermostat'; did you me"),
    ("{hold-back: [volts-in-retry]}", "{hold-back: [volts]}", "no check is called 'volts'"),
    ("{hold-back: [volts-in-retry]}", "{hold-back: []}", "`hold-back` has nothing to say"),
    (WEIGH, "{weigh: igniter.agd, by: 3}", "'igniter.agd'; did you mean igniter.aged?"),
    (WEIGH, "{weigh: thermostat.drops, by: 3}", "no part with a fault, or PART.FAULT, is called"),
    (WEIGH, "{weigh: [vent, vent], by: 3}", "vent stands here twice; keep it once"),
    (WEIGH, "{weigh: vent}", "`weigh` does not say by what; add `by: 3`"),
    (WEIGH, "{weigh: vent, by: 1}", "a factor of 1 weighs nothing"),
    (WEIGH, "{weigh: vent, by: 0}", "0 is no factor; give one above 0, below 1 to lower"),
    (WEIGH, "{weigh: vent, by: -2}", "-2 is no factor"),
    ("{rule-out: hose.off}", "{rule-out: hose.on}", "no part with a fault, or PART.FAULT, is call"),
    ("{rule-out: hose.off}", "{rule-out: hose.off, by: 2}", "`by` says nothing of `rule-out`; tak"),
    ("{caution: live}]", "{caution: live}, {caution: live}]", "this effect stands here twice; kee"),
    # the rule as a whole
    (SAYS, f"{SAYS}\n  only-on: [smal]", "no furnace is called 'smal'; did you mean small?"),
    ("source: a-paper", "source: a-papr", "no source is called 'a-papr'; did you mean a-paper?"),
    ("source: a-paper", "source: ''", "no source is called ''"),
    ("source: a-paper\n  examples:", "examples:", "the key 'source' is missing; add `source: ...`"),
    ("id: slow-onset", "id: worn-draft", f"the id worn-draft is taken by {RULES}:"),
    # chains
    (CHAIN, CHAIN.replace("]", ", {derive: idle}]", 1), "no rule asks for the fact idle; use it i"),
    (BACK, "{derive: Wears Out}]", "'Wears Out' is no id"),
    (SLOW, "when: [{fact: draft-worn}]", "go in a circle: wears-out needs draft-worn needs wears-"),
    ("{oblige: Find the cause.}", "{weigh: hose, by: 2}", "rests on the suspect vent may not weig"),
    ("{oblige: Find the cause.}", "{rule-out: hose}", "rests on the suspect vent may not rule-out"),
    (SLOW, "when: [{suspect: vent, above: 9 %}]", "rests on the fact wears-out may not weigh"),
    # examples
    (SPARE, "spares: []", "no near miss spares this rule; add one"),
    ("fires: [{found: {since-when: slow}}]", "fires: []", "no example fires this rule; add one"),
    (SPARE, "spares: [{found: {since-when: slow}}]", "slow-onset fires here and should not"),
    (SPARE, "spares: [{found: {stalls: dead}}]", "no near miss of slow-onset: its check is not an"),
    ("{facts: [wears-out]}]", "{found: {stalls: dead}}]", "no near miss of worn-draft: no conditi"),
    ("fires: [{found: {since-when: slow}}]", "fires: [{found: {since-when: sudden}}]",
     "slow-onset does not fire here: condition 1 does not hold"),
    ("fires: [{found: {since-when: slow, stalls: draft-only}}]", "fires: [{facts: [wears-out]}]",
     "worn-draft does not fire here: condition 2 does not hold"),
    (SPARE, "spares: [{found: {since-wen: slow}}]", "no check is called 'since-wen'"),
    (SPARE, "spares: [{found: {since-when: fast}}]", "since-when is never answered 'fast'; known"),
    ("volts-in-retry: 24 V}", "volts-in-retry: 24}", "24 has no unit; give it in V, mV; or name o"),
    ("volts-in-retry: 24 V}", "volts-in-retry: 24 A}", "24 A is a current, not a voltage"),
    ("volts-in-retry: 24 V}", "volts-in-retry: 17 V}", "does not fire here: condition 3 does not"),
    ("stalls-in: proving-draft\n", "stalls-in: proving\n", "no step of a healthy call is called '"),
    ("{facts: [wears-out]}", "{facts: [wears]}", "no fact that some rule derives is called 'wears"),
    ("{vent.blocked: 40 %}", "{vent.blockd: 40 %}", "did you mean vent.blocked?"),
    ("{vent.blocked: 40 %}", "{vent: 40 %}", "vent is a part; give the share of one of its faults"),
    ("{vent.blocked: 40 %}", "{vent.blocked: 140 %}", "140 % is no share; give 0 to 100 %"),
    ("{vent.blocked: 40 %}", "{vent.blocked: 40 %, hose.off: 70 %}", "the shares are more than th"),
    ("{lacks: [meter], repaired: [mend]}", "{lacks: [metr]}", "no tool is called 'metr'"),
    ("{lacks: [meter], repaired: [mend]}", "{repaired: [mnd]}", "no repair is called 'mnd'"),
]
# fmt: on


@pytest.mark.parametrize(("old", "new", "message"), CASES)
def test_a_mistake_in_a_rule_is_told_with_its_line_and_a_mend(
    tmp_path: Path, old: str, new: str, message: str
) -> None:
    found = mistakes(write(tmp_path, edited(RULES, old, new)))
    told = [problem for problem in found if message in problem]
    assert told, found
    assert "; " in told[0]


ELSEWHERE = ("the id worn-draft", "in a circle", "wears-out may not weigh", "the key 'source'")
AT_THE_EDIT = [case for case in CASES if not any(text in case[2] for text in ELSEWHERE)]


@pytest.mark.parametrize(("old", "new", "message"), AT_THE_EDIT)
def test_the_line_told_is_that_of_the_mistake_in_the_rule(
    tmp_path: Path, old: str, new: str, message: str
) -> None:
    found = mistakes(write(tmp_path, edited(RULES, old, new)))
    told = next(problem for problem in found if message in problem)
    first = line_of(RULES, old)
    rule_begins = SMALL[RULES][: SMALL[RULES].index(old)].rindex("- id:")
    earliest = SMALL[RULES][:rule_begins].count("\n") + 1
    file, line = told.split(":")[:2]
    assert file == RULES
    if "does not fire here" in message or "when: []" in new:
        assert earliest <= int(line) <= first + 8
    else:
        assert first <= int(line) <= first + new.count("\n") + old.count("\n")


@pytest.mark.parametrize(
    ("name", "old", "new"),
    [
        (CHECKS, "ask: Did it come", "aks: Did it come"),
        (CHECKS, "  outcomes: {sudden: sudden, slow: slow}", "  outcomes: {slow: slow}"),
        (FURNACE, "  vent: {part: pipe}", "  vent: {part: pip}"),
        (FURNACE, "    - {part: igniter, b", "    - {part: igntr, b"),
        (RULES, "{derive: wears-out}]", "{drive: wears-out}]"),
        (RULES, "source: from-memory", "source: from-memry"),
    ],
)
def test_one_mistake_is_not_also_one_in_every_rule_that_rests_on_it(
    tmp_path: Path, name: str, old: str, new: str
) -> None:
    found = mistakes(write(tmp_path, edited(name, old, new)))
    assert found
    assert all(problem.startswith(f"{name}:") for problem in found), found
    assert len(found) <= 2, "the mistake itself, and the key or part that it leaves missing"


def test_a_rule_no_furnace_can_fire_is_told(tmp_path: Path) -> None:
    other = SMALL[FURNACE].replace("id: small", "id: other")
    texts = edited(RULES, SAYS, f"{SAYS}\n  only-on: [other]")
    texts[CHECKS] = texts[CHECKS].replace(
        "- id: since-when\n", "- id: since-when\n  only-on: [small]\n"
    )
    (problem,) = mistakes(write(tmp_path, {**texts, "furnaces/other.yaml": other}))
    assert "no furnace has all that this rule asks for; split it, or mend `only-on`" in problem


def test_a_circle_of_facts_of_three_rules_is_named(tmp_path: Path) -> None:
    circle = "".join(
        f"- id: r-{here}\n  says: x\n  when: [{{fact: {needs}}}]\n  then: [{{derive: {here}}}]\n"
        "  source: from-memory\n"
        f"  examples: {{fires: [{{facts: [{needs}]}}], spares: [{{}}]}}\n"
        for here, needs in (("a", "b"), ("b", "c"), ("c", "a"))
    )
    (problem,) = mistakes(write(tmp_path, {**SMALL, RULES: SMALL[RULES] + circle}))
    assert "needs a" in problem
    assert "needs b" in problem
    assert "needs c" in problem


def test_a_chain_deeper_than_the_stack_is_no_trouble(tmp_path: Path) -> None:
    chained = "".join(
        f"- id: r{n}\n  says: x\n  when: [{{fact: f{n}}}]\n  then: [{{derive: f{n + 1}}}]\n"
        "  source: from-memory\n"
        "  examples: {fires: [{found: {since-when: slow}}], spares: [{}]}\n"
        for n in range(1100)
    )
    texts = edited(RULES, "{derive: wears-out}]", "{derive: wears-out}, {derive: f0}]")
    (problem,) = mistakes(write(tmp_path, {**texts, "rules/chain.yaml": chained}))
    assert "no rule asks for the fact f1100" in problem


# --- what is told -----------------------------------------------------------------


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("slow: slow}", "slow: creeping}", "slow is told, not read; write `slow: slow`"),
        ("slow: slow}", "slow: [slow]}", "slow is told, not read; write `slow: slow`"),
        ("slow: slow}", "slow: 3}", "should be"),
        ("slow: slow}", "Slow!: Slow!}", "'Slow!' is no id"),
        ("sudden: sudden, ", "", "one outcome tells nothing"),
        ("{told: true}", "{told: true, during: retry}", "told does not depend on a step"),
        ("{told: true}", "{told: true, light: true}", "a check reads one thing, not 2"),
        ("phase: customer", "phase: custmer", "did you mean customer?"),
    ],
)
def test_a_mistake_in_what_is_told_has_its_line(
    tmp_path: Path, old: str, new: str, message: str
) -> None:
    found = mistakes(write(tmp_path, edited(CHECKS, old, new)))
    told = [problem for problem in found if message in problem]
    assert told, found
    assert told[0].startswith(f"{CHECKS}:{line_of(CHECKS, old)}:")


# --- examples ---------------------------------------------------------------------


def test_a_reading_gives_the_outcome_that_holds_it(small: Knowledge) -> None:
    check = small.checks["small"]["volts-in-retry"]
    assert answer_of(check, "1 V") == ("none", 1.0)
    assert answer_of(check, "2 V") == ("low", 2.0)
    assert answer_of(check, "24000 mV") == ("live", 24.0)
    assert answer_of(check, "live") == ("live", None)
    assert answer_of(check, "dont-know") is None
    with pytest.raises(ReadingError, match="has no unit"):
        answer_of(check, 24)


def test_bands_without_otherwise_hold_every_reading(small: Knowledge) -> None:
    check = small.checks["small"]["lockout-time"]
    assert answer_of(check, "599 s") == ("short", 599.0)
    assert answer_of(check, "600 s") == ("long", 600.0)
    assert answer_of(check, "-1 s") == ("short", -1.0)


def test_an_example_sums_the_shares_of_a_part_and_knows_where_the_call_stalls(
    small: Knowledge,
) -> None:
    (example,) = small.rules["look-at-the-vent"].entry.examples.fires
    situation = situation_of(example, any_of_each(small.checks))
    assert situation.suspects == {"vent.blocked": 0.4, "vent": 0.4}
    assert situation.held == (("stalls-in", "proving-draft"), ("licence", "gas"))
    (example,) = small.rules["worn-draft"].entry.examples.fires
    assert ("stalls-in", "proving-draft") in situation_of(example, any_of_each(small.checks)).held


# --- the plain forward chainer ----------------------------------------------------


def test_rules_chain_whatever_their_order(small: Knowledge) -> None:
    (example,) = small.rules["look-at-the-vent"].entry.examples.fires
    situation = situation_of(example, any_of_each(small.checks))
    rules = list(small.rules.values())
    for order in (rules, rules[::-1]):
        chained = chain(order, situation)
        assert chained.fired == {"slow-onset", "worn-draft", "look-at-the-vent"}
        assert chained.facts == {"wears-out", "draft-worn"}


@pytest.mark.parametrize(
    ("reading", "expected"), [(None, False), (17.9, False), (18.0, True), (99.0, True)]
)
def test_a_limit_needs_a_reading_within_it(reading: float | None, expected: bool) -> None:
    condition = RuleCondition("found", "volts", low=18.0)
    assert holds(condition, Situation({"volts": ("live", reading)}), ()) is expected


def test_nothing_holds_of_nothing() -> None:
    for subject in ("found", "fact", "suspect", "stalls-in", "licence", "repaired", "lacks-tool"):
        condition = RuleCondition(subject, "x", words=frozenset({"x"}), low=0.1)
        assert not holds(condition, Situation(), ())
