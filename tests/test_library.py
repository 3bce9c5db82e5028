"""Knowledge folders: the good path, and one line with place and mend for each mistake."""

import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from lightoff.engine import library
from lightoff.engine.library import KnowledgeError
from lightoff.engine.library.wiring import ONE_EACH
from lightoff.engine.machine.plan import Plan
from lightoff.engine.model import NOT_REACHED, Band, Condition, Knowledge, Place

FURNACE = "furnaces/small.yaml"
PARTS = "parts/all.yaml"
CHECKS = "checks/all.yaml"


def part(id_: str, kind: str, values: str = "", faults: str = "") -> str:
    lines = [f"- id: {id_}", f"  kind: {kind}", "  source: invented"]
    lines += [f"  {key}: a text" for key in ("name", "area", "does", "senses", "acts", "sits")]
    lines += ["  labels: {usual: [label], mistaken-for: nothing}", f"  values: {{{values}}}"]
    return "\n".join(lines) + (f"\n  faults:\n{faults}" if faults else "") + "\n"


def fault(id_: str, sets: str, more: str = "") -> str:
    return (
        f"    - {{id: {id_}, name: a name, sets: {{{sets}}}, weight: 2, repair: mend, "
        f"because: a reason{more}}}\n"
    )


MOTOR = (
    "resistance: 14 ohm, running: 90 ohm, locked: 45 ohm, starts-at: 75 V, "
    "shutoff-pressure: 2.6 inwc, curve: 3.0e5 Pa s2/m6"
)

SMALL = {
    "sources.yaml": "- {id: a-paper, kind: published, title: A paper}\n",
    "cautions.yaml": (
        "- {id: live, title: Live, text: [It is live.], short: Live, source: a-paper}\n"
    ),
    "tools.yaml": "- {id: meter, name: Meter}\n",
    "setups.yaml": (
        '- {id: power, name: Power, start: "on", minutes: {on: 1, off: 2}, '
        "how: {on: Close it., off: Open it.}}\n"
    ),
    "repairs/all.yaml": (
        "- {id: mend, title: Mend it, minutes: 20, price: low, hazards: [live],\n"
        "   how: [Mend it.], source: common-practice}\n"
    ),
    PARTS: part("supply", "supply", "volts: 120 V, source-resistance: 0.3 ohm")
    + part(
        "transformer",
        "transformer",
        "primary-resistance: 8 ohm, primary-load: 360 ohm, secondary-resistance: 1.2 ohm, ratio: 0.22",
    )
    + part(
        "board", "board", "draws: 100 ohm, input-resistance: 1 kohm, sense-resistance: 1 Mohm"
    )
    + part(
        "thermostat",
        "thermostat",
        faults=fault("broken", "contacts: open, looks: cracked")
        + fault("drops", "holds: 240 s", ", comes-and-goes: true, shows-when: [heat]"),
    )
    + part(
        "switch",
        "pressure-switch",
        "closes-at: 1.0 inwc, opens-at: 0.85 inwc, high-tap: ROOM, high-hose: none, low-hose: hose",
        fault("drifted", "closes-at: x2, opens-at: x2"),
    )
    + part("hose", "hose", faults=fault("off", "passes: 0"))
    + part("relay", "relay")
    + part("inducer", "motor", MOTOR)
    + part("blower", "motor", MOTOR)
    + part(
        "igniter",
        "igniter",
        "resistance: 60 ohm, hot-share: 50 %, surface: 13.6 cm2, emissivity: 0.9, lag: 6 s, "
        "lights-at: 1000 C",
        fault("open", "resistance: open") + fault("aged", "resistance: x3"),
    )
    + part("main", "gas-supply", "pressure: 7 inwc, resistance: 1e8 Pa s2/m6")
    + part("cock", "gas-cock")
    + part(
        "valve",
        "gas-valve",
        "resistance: 48 ohm, opens-at: 18 V, regulator: 3.5 inwc, flow-resistance: 2.7e8 Pa s2/m6",
    )
    + part(
        "burners",
        "burners",
        "count: 4, orifice: 0.082 in, orifice-coefficient: 0.9, crossover-needs: 2 inwc, "
        "box-temperature: 60 C, roll-out-temperature: 300 C, box-lag: 15 s",
    )
    + part(
        "rod", "flame-sensor", "coating: 0.1 Mohm, flame-resistance: 12 Mohm, rectified: 0.4"
    )
    + part(
        "exchanger",
        "heat-exchanger",
        "resistance: 1e6 Pa s2/m6, flue-share: 0.2, efficiency: 0.95, limit-share: 1.5, "
        "still-air-rise: 220 C rise, lag: 60 s, still-lag: 150 s",
    )
    + part(
        "drain",
        "drain",
        "resistance: 6e4 s/m2, area: 20 cm2, floods-at: 6 cm, "
        "flooded-resistance: 3e7 Pa s2/m6, leak-resistance: 1e6 Pa s2/m6",
    )
    + part("pipe", "passage", "resistance: 4e5 Pa s2/m6", fault("blocked", "resistance: x20"))
    + part("joint", "opening"),
    CHECKS: """\
- id: stalls
  area: a
  by: look
  ask: Where does it stall?
  how: [Watch it.]
  reads: {stalls: true}
  outcomes: {dead: [off, standby], draft-only: proving-draft, heats: [heating, satisfied]}
  answers: {dead: Nothing happens}
  minutes: 5
- id: volts-in-retry
  area: a
  by: meter
  ask: What is between R and C?
  how: [Measure it.]
  reads: {volts: [R, C], during: retry}
  outcomes: {none: below 2 V, low: 2 to 18 V, live: otherwise}
  minutes: 2
  tools: [meter]
  hazards: [live]
  setup: {power: on}
  varies: 10 %
- id: lockout-time
  area: a
  by: look
  ask: How long is it locked out?
  how: [Wait.]
  reads: {seconds: lockout}
  outcomes: {short: below 10 min, long: above 10 min}
  minutes: 60
  misread: 10 %
- id: thermostat-looks
  area: a
  by: look
  ask: How does it look?
  how: [Look.]
  reads: {condition: thermostat.looks, with: {thermostat.contacts: closed}}
  outcomes: {sound: good, cracked: cracked}
  provokes: [heat]
  minutes: 1
""",
    FURNACE: """\
id: small
name: Small furnace
about: It heats.
seen: [It is small.]
gas: natural-gas
source: invented
site: {room: 20 C, outdoors: 0 C, altitude: 0 ft}
plate:
  input: 76 to 84 kBtu/h
  temperature-rise: 35 to 65 F rise
  manifold: 3.2 to 3.8 inwc
  inlet: 5 to 7.5 inwc
  external-static: 0 to 0.6 inwc
call: {starts: 10 s, satisfied: 16 min, watched: 30 min}
parts:
  supply: {}
  transformer: {}
  board: {}
  thermostat: {without: [drops]}
  switch: {}
  hose: {}
  inducer-relay: {part: relay}
  gas-relay: {part: relay}
  inducer: {}
  blower: {values: {running: 22 ohm}, source: a-paper}
  igniter: {}
  main: {}
  cock: {}
  valve: {}
  burners: {}
  rod: {}
  exchanger: {}
  drain: {}
  intake: {part: pipe}
  vent: {part: pipe}
  filter: {part: pipe}
  duct: {part: pipe}
  gasket: {part: joint}
wiring:
  line:
    - {part: supply, branch: source, between: [L, N]}
    - {part: supply, branch: neutral-bond, between: [N, EARTH]}
    - {part: transformer, branch: primary, between: [L, N]}
    - {part: inducer-relay, between: [L, IND]}
    - {part: inducer, branch: winding, between: [IND, N]}
    - {part: blower, branch: winding, between: [IND, N]}
    - {part: igniter, between: [IND, N]}
    - {part: board, branch: sense, between: [L, FLAME]}
    - {part: rod, branch: coating, between: [FLAME, TIP]}
    - {part: rod, branch: flame, between: [TIP, EARTH]}
  control:
    - {part: transformer, branch: secondary, between: [R, C]}
    - {part: board, branch: power, between: [R, C]}
    - {part: thermostat, between: [R, W]}
    - {part: board, branch: call-input, between: [W, C]}
    - {part: switch, between: [R, PS]}
    - {part: board, branch: pressure-input, between: [PS, C]}
    - {part: gas-relay, between: [PS, MV]}
    - {part: valve, between: [MV, C]}
combustion-air: [intake, BURNER-BOX, exchanger, COLLECTOR, drain, inducer, VENT, vent]
house-air: [filter, RETURN, blower, SUPPLY, duct]
gas-train: [main, cock, INLET, valve, MANIFOLD, burners]
leaks: {COLLECTOR: gasket}
sequence:
  starts: off
  path: [standby, proving-draft, heating]
  board: board
  inputs:
    power: {volts: [R, C], above: 15 V}
    call: {volts: [W, C], above: 13 V}
    draft: {volts: [PS, C], above: 13 V}
    flame: {microamps: rod, above: 0.5 uA}
  counters: {tries: 3}
  interrupts:
    - {when: not power, to: off, from: [standby, proving-draft, heating, retry, lockout]}
    - {when: not call, to: standby, from: [proving-draft, heating, retry]}
  steps:
    off:
      does: Nothing.
      rests: true
      light: dark
      leaves: [{when: power, to: standby}]
    standby:
      does: It waits.
      rests: true
      clears: [tries]
      leaves: [{when: call, to: proving-draft}]
    proving-draft:
      does: It proves draft.
      energise: [inducer-relay]
      energise-for: {gas-relay: 4 s}
      leaves:
        - {when: draft, to: heating}
        - {after: 60 s, to: retry}
    heating:
      does: It heats.
      energise: [inducer-relay, gas-relay]
      rests: true
      leaves: [{when: [not flame, draft], after: 6 s, to: retry}]
    retry:
      does: It counts.
      counts: [tries]
      leaves:
        - {when: tries spent, to: lockout}
        - {after: 10 s, to: proving-draft}
    lockout:
      does: It rests.
      rests: true
      leaves: [{after: 60 min, to: standby}]
accepted-unseen:
  - {faults: [hose.off], why: It is seen by nothing.}
""",
}


def write(folder: Path, texts: dict[str, str]) -> Path:
    for name, text in texts.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(text)
    return folder


def edited(name: str, old: str, new: str) -> dict[str, str]:
    assert SMALL[name].count(old) >= 1, f"{old!r} does not stand in {name}"
    return {**SMALL, name: SMALL[name].replace(old, new, 1)}


def line_of(name: str, text: str) -> int:
    return SMALL[name].split(text, 1)[0].count("\n") + 1


def mistakes(folder: Path) -> list[str]:
    return [str(problem) for problem in library.check(folder)[1]]


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory) -> Knowledge:
    return library.load(write(tmp_path_factory.mktemp("small"), SMALL))


# --- the good path ----------------------------------------------------------------


def test_values_are_in_si_with_defaults_and_what_the_furnace_says(small: Knowledge) -> None:
    parts = small.furnaces["small"].parts
    assert parts["switch"].values["closes-at"] == pytest.approx(249.08891)
    assert parts["switch"].values["contacts"] == "works"
    assert parts["igniter"].values["lights-at"] == pytest.approx(1273.15)
    assert parts["igniter"].values["hot-share"] == 0.5
    assert parts["inducer"].values["running"] == 90.0
    assert parts["blower"].values["running"] == 22.0
    assert (parts["inducer"].source, parts["blower"].source) == ("invented", "a-paper")
    assert parts["duct"].entry.id == "pipe"


def test_faults_belong_to_fitted_parts_and_multiply_or_replace_values(small: Knowledge) -> None:
    faults = small.furnaces["small"].faults
    assert faults["igniter.aged"].overrides == {("igniter", "resistance"): 180.0}
    assert faults["igniter.open"].overrides == {("igniter", "resistance"): "open"}
    assert faults["vent.blocked"].overrides == {("vent", "resistance"): 8e6}
    assert faults["vent.blocked"].repair == "mend"
    assert "thermostat.broken" in faults
    assert "thermostat.drops" not in faults, "this furnace is without it"


def test_a_branch_may_be_left_out_where_there_is_one(small: Knowledge) -> None:
    furnace = small.furnaces["small"]
    wires = {(wire.part, wire.branch) for wire in furnace.line + furnace.control}
    assert {("igniter", "element"), ("thermostat", "contacts"), ("valve", "coil")} <= wires


def test_interrupts_come_first_in_the_order_of_the_file(small: Knowledge) -> None:
    steps = small.furnaces["small"].sequence.steps
    ways_out = [(leave.to, leave.after) for leave in steps["retry"].leaves]
    assert ways_out == [("off", 0), ("standby", 0), ("lockout", 0), ("proving-draft", 10)]
    assert steps["retry"].leaves[0].when == (Condition("power", False),)
    assert steps["retry"].leaves[2].when == (Condition("tries spent", True),)
    assert steps["heating"].leaves[2].when == (Condition("flame", False), Condition("draft", True))
    assert steps["proving-draft"].energise == {"inducer-relay"}
    assert steps["proving-draft"].energise_for == (("gas-relay", 4.0),)


def test_the_call_the_site_and_the_plate_are_in_si(small: Knowledge) -> None:
    furnace = small.furnaces["small"]
    call = furnace.call
    assert (call.starts, call.satisfied, call.watched) == (10.0, 960.0, 1800.0)
    assert furnace.site == pytest.approx({"room": 293.15, "outdoors": 273.15, "altitude": 0.0})
    assert furnace.plate["manifold"] == pytest.approx((797.085, 946.538), abs=1e-3)
    assert furnace.sequence.inputs["flame"].above == pytest.approx(0.5e-6)
    assert furnace.sequence.inputs["flame"].microamps == "rod"


def test_checks_get_bands_texts_and_the_usual_misreading(small: Knowledge) -> None:
    check = small.checks["small"]["volts-in-retry"]
    assert check.dimension == "voltage"
    assert [(outcome.id, outcome.band, outcome.text) for outcome in check.outcomes] == [
        ("none", Band(high=2.0), "none: below 2 V"),
        ("low", Band(low=2.0, high=18.0), "low: 2 to 18 V"),
        ("live", Band(otherwise=True), "live: anything else"),
        (NOT_REACHED, Band(), "could not be tested: the furnace never got there"),
    ]
    assert (check.varies, check.misread, check.setup) == (0.1, 0.015, {"power": "on"})


def test_checks_of_words_get_words_answers_and_what_is_tried(small: Knowledge) -> None:
    stalls = small.checks["small"]["stalls"]
    assert stalls.dimension == ""
    assert stalls.misread == 0.03
    assert [(o.id, o.band.words, o.text) for o in stalls.outcomes] == [
        ("dead", {"off", "standby"}, "Nothing happens"),
        ("draft-only", {"proving-draft"}, "draft only"),
        ("heats", {"heating", "satisfied"}, "heats"),
    ]
    looks = small.checks["small"]["thermostat-looks"]
    assert looks.trying == {("thermostat", "contacts"): "closed"}
    assert small.checks["small"]["lockout-time"].misread == 0.1
    assert small.checks["small"]["lockout-time"].outcomes[-1].id == NOT_REACHED


def test_every_entry_keeps_its_place(small: Knowledge) -> None:
    assert small.places["check", "volts-in-retry"] == Place(
        CHECKS, line_of(CHECKS, "- id: volts-in-retry"), 3
    )
    assert small.places["fault", "igniter.aged"].line == line_of(PARTS, "    - {id: aged")
    assert small.places["source", "a-paper"].file == "sources.yaml"


def test_a_check_of_what_only_another_furnace_has_is_left_out(tmp_path: Path) -> None:
    other = SMALL[FURNACE].replace("id: small", "id: other").replace("IND", "MOTOR")
    check = (
        "- {id: at-the-motor, area: a, by: meter, ask: What?, how: [Measure.], minutes: 1,\n"
        "   reads: {volts: [MOTOR, N], during: heating},\n"
        "   outcomes: {on: above 60 V, off: below 60 V}}\n"
    )
    texts = {**SMALL, "furnaces/other.yaml": other, CHECKS: SMALL[CHECKS] + check}
    knowledge = library.load(write(tmp_path, texts))
    assert "at-the-motor" in knowledge.checks["other"]
    assert "at-the-motor" not in knowledge.checks["small"]


def test_shipped_knowledge_has_no_mistakes() -> None:
    knowledge = library.load()
    for furnace in knowledge.furnaces.values():
        assert set(Plan(furnace).roles) == set(ONE_EACH)
        assert len(furnace.faults) >= 80
        assert len(knowledge.checks[furnace.id]) >= 60


# --- one mistake at a time --------------------------------------------------------

CASES = [
    # shape
    ("sources.yaml", "kind: published", "kind: publishd", "did you mean published?"),
    ("sources.yaml", "title: A paper", "titel: A paper", "no key 'titel' here; did you mean title"),
    ("tools.yaml", ", name: Meter", "", "the key 'name' is missing; add `name: ...`"),
    ("tools.yaml", "name: Meter", "name: 3", "should be text, not a whole number; put it in quo"),
    ("tools.yaml", "- {id", "{id", "this file is not a list; write each entry as `- id: ...`"),
    ("tools.yaml", "id: meter", "id: Meter!", "'Meter!' is no id; write lower-case words"),
    ("repairs/all.yaml", "minutes: 20", "minutes: 20 min", "should be a number, not text"),
    ("repairs/all.yaml", "price: low", "price: cheap", "'cheap' is not allowed here; known are"),
    (FURNACE, "blower: {values: {running", "blower: {valus: {running", "did you mean values?"),
    (FURNACE, "between: [L, IND]", "between: [L]", "this list has the wrong length; write 2"),
    (FURNACE, "counters: {tries: 3}", "counters: {tries: three}", "should be a whole number"),
    (PARTS, "labels: {usual", "labels: {usul", "no key 'usul' here; did you mean usual?"),
    # references
    ("cautions.yaml", "source: a-paper", "source: a-papr", "no source is called 'a-papr'; did"),
    ("repairs/all.yaml", "hazards: [live]", "hazards: [life]", "no caution is called 'life'; did"),
    ("repairs/all.yaml", "minutes: 20", "minutes: -20", "these are no minutes; give 0 or more"),
    ("setups.yaml", 'start: "on"', "start: ready", "no state of power is called 'ready'"),
    ("setups.yaml", "how: {on: Close it., ", "how: {", "on has minutes or how, not both"),
    # parts
    (PARTS, "kind: gas-cock", "kind: gas-cok", "no kind of part is called 'gas-cok'; did you mean"),
    (PARTS, "volts: 120 V", "volts: 120", "volts: 120 has no unit; give it in V, mV"),
    (PARTS, "volts: 120 V", "volts: 120 A", "volts: 120 A is a current, not a voltage"),
    (PARTS, "volts: 120 V", "volt: 120 V", "no value of a supply is called 'volt'; did you mean"),
    (PARTS, "volts: 120 V", "volts: -120 V", "volts cannot be negative"),
    (PARTS, "volts: 120 V", "volts: high", "volts: 'high' is no amount"),
    (PARTS, "primary-resistance: 8 ohm", "primary-resistance: shut", "or one of open"),
    (PARTS, "running: 90 ohm", "running: 0 ohm", "running cannot be zero"),
    (PARTS, "count: 4", "count: 4.5", "count counts whole things"),
    (PARTS, "contacts: open", "contacts: opn", "contacts cannot be 'opn'; did you mean open?"),
    (PARTS, "contacts: open", "contacts: 3", "contacts is a word, not a number"),
    (PARTS, "contacts: open", "contacts: x2", "contacts cannot be multiplied"),
    (PARTS, "looks: cracked", "looks: Cracked!", "'Cracked!' is no word"),
    (PARTS, "closes-at: x2", "closes-at: x1", "x1 is no change of degree"),
    (PARTS, "contacts: open, looks: cracked", "", "this fault changes nothing; set a value"),
    (PARTS, "contacts: open, looks: cracked", "holds: x2", "x2 cannot multiply what has no end"),
    (PARTS, "{passes: 0}", "{passes: 1}", "the fault leaves hose as it is"),
    (PARTS, "weight: 2", "weight: 0", "a weight must be above 0"),
    (PARTS, "repair: mend", "repair: mnd", "no repair is called 'mnd'; did you mean mend?"),
    (PARTS, "shows-when: [heat]", "shows-when: [haet]", "no provocation is called 'haet'; did"),
    (PARTS, "comes-and-goes: true, ", "", "this fault is always present; add `comes-and-goes"),
    (PARTS, "id: aged", "id: open", "igniter has two faults open; rename one"),
    (PARTS, "low-hose: hose", "low-hose: 3", "3 is no name"),
    (PARTS, "- id: cock", "- id: main", f"the id main is taken by {PARTS}:"),
    # the furnace
    (FURNACE, "room: 20 C", "room: 20", "not a whole number; put it in quotes, or give its unit"),
    (FURNACE, "room: 20 C", "room: '20'", "20 has no unit; give it in C, F, K"),
    (FURNACE, "room: 20 C", "rom: 20 C", "no figure here is called 'rom'; did you mean room?"),
    (FURNACE, "3.2 to 3.8 inwc", "3.8 to 3.2 inwc", "does not go up; write the lower figure"),
    (FURNACE, "satisfied: 16 min", "satisfied: 6 s", "the times of the call are out of order"),
    (FURNACE, "gas: natural-gas", "gas: nitrogen", "'nitrogen' is not allowed here; known are"),
    (FURNACE, "{part: joint}", "{part: jint}", "no part is called 'jint'; did you mean joint?"),
    (FURNACE, "[drops]", "[drop]", "no fault of thermostat is called 'drop'; did you mean drops?"),
    (FURNACE, "{running: 22 ohm}", "{running: 22}", "running: 22 has no unit; give it in ohm"),
    (FURNACE, "  hose: {}\n", "", "no hose for low-hose is called 'hose'"),
    (FURNACE, "  cock: {}\n", "  cock: {}\n  cock-2: {part: cock}\n", "2 parts of kind gas-cock"),
    (FURNACE, "  duct: {part", "  spare: {part: pipe}\n  duct: {part", "spare is connected to noth"),
    (FURNACE, "[hose.off]", "[hose.of]", "no fault is called 'hose.of'; did you mean hose.off?"),
    # wiring
    (FURNACE, "{part: igniter, b", "{part: ignitor, b", "'ignitor'; did you mean igniter?"),
    (FURNACE, "inducer, branch: winding", "inducer", "a motor has several branches: winding, leak"),
    (FURNACE, "inducer, branch: winding", "inducer, branch: coil", "a motor has no branch coil"),
    (FURNACE, "{part: igniter, b", "{part: vent, b", "a passage is in no circuit"),
    (FURNACE, "between: [R, W]", "between: [R, w]", "'w' is no terminal; write it in upper case"),
    (FURNACE, "between: [R, W]", "between: [R, WW]", "nothing else is wired to terminal WW"),
    (FURNACE, "between: [R, W]", "between: [R, R]", "both ends are the same terminal"),
    (FURNACE, "[TIP, EARTH]", "[TIP, C]", "terminal C stands in both nets; give it two names"),
    (FURNACE, "supply, branch: source", "supply, branch: line-bond", "the line net has 0 sources"),
    (FURNACE, "branch: sense", "branch: power", "board, branch power, is wired 2 times"),
    (FURNACE, "branch: primary", "branch: secondary", "transformer, branch secondary, is wired 2"),
    (FURNACE, "rod, branch: flame", "rod, branch: insulator", "no wire for rod, branch flame"),
    # ways of air and gas
    (FURNACE, "intake, BURNER-BOX", "intke, BURNER-BOX", "'intke'; did you mean intake?"),
    (FURNACE, "intake, BURNER-BOX", "cock, BURNER-BOX", "a gas-cock cannot stand in the combust"),
    (FURNACE, "[filter, RETURN, blower", "[filter, blower, RETURN, filter", "cannot stand here 2"),
    (FURNACE, "RETURN, blower, ", "RETURN, ", "this way has 0 motors"),
    (FURNACE, ", SUPPLY, duct]", ", SUPPLY]", "does not begin and end with a passage"),
    (FURNACE, "main, cock, INLET", "cock, main, INLET", "the gas train is out of order; it goes"),
    (FURNACE, "{COLLECTOR: gasket}", "{COLECTOR: gasket}", "'COLECTOR'; did you mean COLLECTOR?"),
    (FURNACE, "{COLLECTOR: gasket}", "{VENT: gasket}", "no tap before the inducer is called 'VENT'"),
    (FURNACE, "{COLLECTOR: gasket}", "{COLLECTOR: vent}", "vent is a passage; name a part of kind o"),
    (PARTS, "high-tap: ROOM", "high-tap: ROM", "no tap for high-tap is called 'ROM'"),
    # the sequence
    (FURNACE, "starts: off\n", "starts: of\n", "no step is called 'of'; did you mean off?"),
    (FURNACE, "path: [standby", "path: [stand", "no step is called 'stand'; did you mean standby"),
    (FURNACE, "board: board\n", "board: bord\n", "no board of this furnace is called 'bord'"),
    (FURNACE, "above: 15 V", "above: 15 uA", "15 uA is a current, not a voltage"),
    (FURNACE, "power: {volts: [R, C], ", "power: {", "power reads nothing, or two things"),
    (FURNACE, "power: {volts: [R, C]", "power: {volts: [R, N]", "no net has both terminals R and N"),
    (FURNACE, "microamps: rod", "microamps: switch", "no flame-sensor of this furnace is called"),
    (FURNACE, "counters: {tries: 3}", "counters: {tries: 0}", "tries is spent at 0; write 1 or more"),
    (FURNACE, "from: [standby, p", "from: [stndby, p", "'stndby'; did you mean standby?"),
    (FURNACE, "when: not call", "when: not cal", "input or `COUNTER spent` is called 'cal'; did you"),
    (FURNACE, "counts: [tries]", "counts: [tris]", "no counter is called 'tris'; did you mean tries"),
    (FURNACE, "energise: [inducer-relay]", "energise: [inducer]", "no relay of this furnace is cal"),
    (FURNACE, "{gas-relay: 4 s}", "{gas-relay: 4}", "should be text, not a whole number"),
    (FURNACE, "{gas-relay: 4 s}", "{gas-relay: 4 V}", "4 V is a voltage, not a time"),
    (FURNACE, "after: 60 s", "after: -60 s", "a step cannot end before it begins"),
    (FURNACE, "to: lockout", "to: lokout", "no step is called 'lokout'; did you mean lockout?"),
    (FURNACE, "{when: draft, to: heating}", "{when: draft, to: proving-draft}", "leads to itself"),
    (FURNACE, "{after: 60 s, to: retry}", "{when: flame, to: retry}", "may wait for ever; add a way"),
    (FURNACE, "[standby, proving-draft, heating]\n", "[standby, heating]\n", "from standby to heating"),
    # checks
    (CHECKS, "by: meter", "by: metre", "'metre' is not allowed here; did you mean meter?"),
    (CHECKS, "tools: [meter]", "tools: [metr]", "no tool is called 'metr'; did you mean meter?"),
    (CHECKS, "hazards: [live]", "hazards: [lve]", "no caution is called 'lve'; did you mean live?"),
    (CHECKS, "{power: on}", "{powr: on}", "no aspect of the set-up is called 'powr'; did you mean"),
    (CHECKS, "{power: on}", "{power: cut}", "no state of power is called 'cut'; known are off, on"),
    (CHECKS, "provokes: [heat]", "provokes: [cold]", "no provocation is called 'cold'; known are"),
    (CHECKS, "varies: 10 %", "varies: 10 V", "10 V is a voltage, not a fraction"),
    (CHECKS, "varies: 10 %", "varies: 100 %", "100 % is no share; give a part of the whole"),
    (CHECKS, "  minutes: 5", "  only-on: [smal]\n  minutes: 5", "'smal'; did you mean small?"),
    (CHECKS, "{stalls: true}", "{light: true, stalls: true}", "a check reads one thing, not 2"),
    (CHECKS, "{stalls: true}", "{stalls: false}", "a check reads one thing, not 0"),
    (CHECKS, "{stalls: true}", "{stalls: true, during: retry}", "stalls does not depend on a step"),
    (CHECKS, "[R, C], during: retry", "[R, C]", "volts differ from step to step; add `during"),
    (CHECKS, "[R, C], during: retry", "[R, C], during: rtry", "small has no step rtry; did you"),
    (CHECKS, "volts: [R, C]", "volts: [R, X]", "small has no terminal X; known are"),
    (CHECKS, "volts: [R, C]", "volts: [R, N]", "R and N are not in one net"),
    (CHECKS, "volts: [R, C]", "amps: thermostt", "small has no part thermostt; did you mean"),
    (CHECKS, "volts: [R, C]", "amps: board/sens", "a board has no branch 'sens'; did you mean"),
    (CHECKS, "volts: [R, C]", "amps: vent", "small has no wiring to vent, a branch"),
    (CHECKS, "volts: [R, C]", "amps: inducer/leak", "small has no wiring to inducer, leak"),
    (CHECKS, "volts: [R, C]", "microamps: igniter", "igniter is a igniter; name a flame sensor"),
    (CHECKS, "volts: [R, C]", "pressure: [ROOM, VNT]", "small has no tap VNT; did you mean VENT?"),
    (CHECKS, "volts: [R, C]", "gauge: switch", "'switch' names no place; write PART.SHOWN"),
    (CHECKS, "volts: [R, C]", "gauge: switch.flow", "a pressure-switch shows no 'flow'; known are"),
    (CHECKS, "volts: [R, C]", "sight: igniter.glw", "an igniter"[3:] + " shows no 'glw'; did you"),
    (CHECKS, "volts: [R, C]", "temperature: attic", "no temperature is called 'attic'; known are"),
    (CHECKS, "volts: [R, C]", "flue: co3", "the flue gas is not read for 'co3'; did you mean co2?"),
    (CHECKS, "thermostat.looks,", "thermostat,", "'thermostat' names no value; write PART.VALUE"),
    (CHECKS, "thermostat.looks,", "thermostat.lok,", "a thermostat has no 'lok'; did you mean looks"),
    (CHECKS, "thermostat.contacts: closed", "thermostat: closed", "'thermostat' names no value"),
    (CHECKS, "contacts: closed", "contacts: shut", "contacts cannot be 'shut'; known are"),
    (CHECKS, "below 2 V", "under 2 V", "'under 2 V' is no band; write `below 2 V`"),
    (CHECKS, "below 2 V", "below 2 inwc", "2 inwc is a pressure, not a voltage"),
    (CHECKS, "below 2 V", "[low]", "this reading is a figure; write a band such as"),
    (CHECKS, "below 2 V", "below 5 V", "low overlaps none; let one end where the other begins"),
    (CHECKS, "below 2 V", "otherwise", "none has `otherwise` too; give all but one a band"),
    (CHECKS, "low: 2 to 18 V", "low: above 2 V", "nothing is left for `otherwise`"),
    (CHECKS, "live: otherwise", "live: 20 to 30 V", "no outcome for a reading from 18 V to 20 V"),
    (CHECKS, "below 10 min, long", "below 9 min, long", "no outcome for a reading from 9 min to 10"),
    (CHECKS, "draft-only: proving-draft", "draft-only: retry", "this never reads 'retry'"),
    (CHECKS, "[heating, satisfied]", "[heating]", "no outcome for the reading satisfied; add it"),
    (CHECKS, "[heating, satisfied]", "[heating, satisfied, off]", "off is in dead too; keep it in"),
    (CHECKS, "[heating, satisfied]", "[]", "this outcome has no words; give one, or `otherwise`"),
    (CHECKS, "sound: good, cracked: cracked", "sound: good, worn: worn", "this never reads 'worn'"),
    (CHECKS, "sound: good, cracked: cracked", "sound: otherwise", "one outcome tells nothing"),
    (CHECKS, "{sound: good, c", "{not-reached: good, c", "not-reached is no outcome of yours"),
    (CHECKS, "{dead: Nothing", "{ded: Nothing", "no outcome is called 'ded'; did you mean dead?"),
    (CHECKS, "  reads: {volts", "  only-on: [small]\n  reads: {volts: [R, Q], during: retry}\n#", "Q"),
]


@pytest.mark.parametrize(("name", "old", "new", "message"), CASES)
def test_a_mistake_is_told_with_its_line_and_a_mend(
    tmp_path: Path, name: str, old: str, new: str, message: str
) -> None:
    found = mistakes(write(tmp_path, edited(name, old, new)))
    told = [problem for problem in found if message in problem]
    assert told, found
    file, line, rest = told[0].split(":", 2)
    assert ";" in rest


AT_THE_EDIT = [case for case in CASES if case[0] in (CHECKS, "tools.yaml", "repairs/all.yaml")]


@pytest.mark.parametrize(("name", "old", "new", "message"), AT_THE_EDIT)
def test_the_line_told_is_the_line_of_the_mistake(
    tmp_path: Path, name: str, old: str, new: str, message: str
) -> None:
    found = mistakes(write(tmp_path, edited(name, old, new)))
    told = next(problem for problem in found if message in problem)
    first = line_of(name, old)
    lines = [first + offset for offset in range(new.count("\n") + 1)]
    assert told.split(":")[:2] in [[name, str(line)] for line in lines]


@pytest.mark.parametrize(
    ("old", "new", "line", "message"),
    [
        ("    - {part: igniter, b", "    - {part: x, b", "    - {part: igniter, b", "no part of"),
        ("  gas-relay: {part: relay}", "  gas-relay: {part: r}", "  gas-relay: {part", "no part is"),
        ("to: lockout", "to: x", "- {when: tries spent", "no step is called 'x'"),
        ("{after: 60 s, to: retry}", "{when: call, to: retry}", "    proving-draft:", "never taken"),
        ("    - {when: not call", "    - {when: no call", "    - {when: not call", "'no call'"),
        ("[hose.off]", "[x]", "  - {faults: [hose.off]", "no fault is called"),
    ],
)
def test_the_line_told_in_a_furnace_is_the_line_of_the_mistake(
    tmp_path: Path, old: str, new: str, line: str, message: str
) -> None:
    found = mistakes(write(tmp_path, edited(FURNACE, old, new)))
    told = next((problem for problem in found if message in problem), str(found))
    assert told.startswith(f"{FURNACE}:{line_of(FURNACE, line)}: ")


def test_a_value_that_must_be_given_is_asked_for_at_the_fitted_part(tmp_path: Path) -> None:
    found = mistakes(write(tmp_path, edited(PARTS, "volts: 120 V, ", "")))
    line = line_of(FURNACE, "  supply: {}")
    assert found == [
        f"{FURNACE}:{line}: supply has no volts; give its voltage in the part's values"
    ]


def test_a_step_that_no_check_reads_is_told(tmp_path: Path) -> None:
    found = mistakes(write(tmp_path, edited(CHECKS, "seconds: lockout", "seconds: retry")))
    line = line_of(FURNACE, "    lockout:")
    assert found == [
        f"{FURNACE}:{line}: no check reads step lockout; add a check with `during` it"
    ]


# --- all mistakes at once, and no more than there are ------------------------------


def test_all_mistakes_of_all_files_are_told_at_once_in_order(tmp_path: Path) -> None:
    texts = dict(SMALL)
    for name, old, new in [
        ("sources.yaml", "title", "titel"),
        (PARTS, "volts: 120 V", "volts: 120"),
        (PARTS, "count: 4", "count: many"),
        (CHECKS, "tools: [meter]", "tools: [hammer]"),
        (CHECKS, "below 10 min", "below 10 V"),
        (FURNACE, "satisfied: 16 min", "satisfied: 16"),
    ]:
        texts[name] = texts[name].replace(old, new, 1)
    knowledge, found = library.check(write(tmp_path, texts))
    assert [problem.place.file for problem in found] == [
        CHECKS,
        CHECKS,
        FURNACE,
        PARTS,
        PARTS,
        "sources.yaml",
        "sources.yaml",
    ] or [str(problem) for problem in found] == []
    assert found == sorted(found, key=lambda p: (p.place.file, p.place.line, p.place.column))
    assert knowledge is not None
    with pytest.raises(KnowledgeError) as error:
        library.load(tmp_path)
    assert error.value.problems == found
    assert str(error.value).splitlines() == [str(problem) for problem in found]


def test_an_entry_with_a_mistake_is_not_a_mistake_of_what_refers_to_it(tmp_path: Path) -> None:
    texts = edited("repairs/all.yaml", "price: low", "price: cheap")
    assert len(mistakes(write(tmp_path, texts))) == 1


def test_a_part_with_a_mistake_is_told_once_though_fitted_often(tmp_path: Path) -> None:
    texts = edited(PARTS, "resistance: 4e5 Pa s2/m6", "resistance: 4e5")
    assert len(mistakes(write(tmp_path, texts))) == 1


def test_what_is_without_mistakes_is_still_given(tmp_path: Path) -> None:
    knowledge, found = library.check(
        write(tmp_path, edited(CHECKS, "tools: [meter]", "tools: [hammer]"))
    )
    assert len(found) == 1
    assert knowledge is not None
    assert set(knowledge.checks["small"]) == {"stalls", "lockout-time", "thermostat-looks"}


def test_several_unknown_keys_of_one_entry_are_all_told(tmp_path: Path) -> None:
    found = mistakes(write(tmp_path, edited("tools.yaml", "name: Meter", "name: M, x: 1, y: 2")))
    assert [problem.split(";")[0] for problem in found] == [
        "tools.yaml:1: there is no key 'x' here",
        "tools.yaml:1: there is no key 'y' here",
    ]


# --- folders ----------------------------------------------------------------------


@pytest.mark.parametrize("name", SMALL)
def test_a_kind_of_file_that_is_missing_is_told(tmp_path: Path, name: str) -> None:
    texts = {other: text for other, text in SMALL.items() if other != name}
    found = mistakes(write(tmp_path, texts))
    pattern = name if "/" not in name else name.split("/")[0] + "/*.yaml"
    assert any(problem.startswith(f"{pattern}:1: there is no such file; add") for problem in found)


def test_a_folder_without_files_is_a_mistake(tmp_path: Path) -> None:
    knowledge, (problem,) = library.check(tmp_path)
    assert knowledge is None
    assert problem.what == "there are no knowledge files"
    with pytest.raises(KnowledgeError, match="there is no such folder"):
        library.load(tmp_path / "nowhere")


def test_a_file_that_nothing_reads_is_told(tmp_path: Path) -> None:
    texts = {**SMALL, "part/x.yaml": "[]", "checks/x.yml": "[]", "rules/x.yaml": "[]"}
    assert mistakes(write(tmp_path, texts)) == [
        "checks/x.yml:1: nothing reads this file; give it a name and folder that is read, "
        "or take it away",
        "part/x.yaml:1: nothing reads this file; give it a name and folder that is read, "
        "or take it away",
    ]


def test_entries_of_one_kind_may_be_spread_over_files(tmp_path: Path) -> None:
    start = SMALL[PARTS].index("- id: hose")
    texts = {**SMALL, PARTS: SMALL[PARTS][:start], "parts/more.yaml": SMALL[PARTS][start:]}
    assert library.load(write(tmp_path, texts)).furnaces["small"].parts["hose"]


# --- hostile folders --------------------------------------------------------------


@pytest.mark.parametrize(
    "text",
    ["", "[]", "{}", "1", "- 1", "- []", "- {id: 1}", "- {id: [a]}", "a: &a [*a]", "\0", "[" * 500],
)
@pytest.mark.parametrize("name", SMALL)
def test_no_odd_file_raises(tmp_path: Path, name: str, text: str) -> None:
    _, found = library.check(write(tmp_path, {**SMALL, name: text}))
    assert found


LINES = [(name, index) for name, text in SMALL.items() for index in range(text.count("\n"))]


@settings(
    max_examples=150, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None
)
@given(where=st.sampled_from(LINES), source=st.sampled_from(LINES), cut=st.integers(0, 40))
def test_no_muddled_line_raises(
    tmp_path: Path, where: tuple[str, int], source: tuple[str, int], cut: int
) -> None:
    lines = SMALL[where[0]].splitlines()
    other = SMALL[source[0]].splitlines()[source[1]]
    lines[where[1]] = lines[where[1]][:cut] + other[cut:]
    texts = {**SMALL, where[0]: "\n".join(lines) + "\n"}
    library.check(write(tmp_path, texts))


def test_thousands_of_wrong_names_are_cut_short(tmp_path: Path) -> None:
    wrong = "".join(f"- {{id: t{n}, nam: x, nme: y}}\n" for n in range(5000))
    found = mistakes(write(tmp_path, {**SMALL, "tools.yaml": wrong}))
    assert len(found) == 500


def test_one_wrong_value_among_thousands_is_found(tmp_path: Path) -> None:
    many = ", ".join(f"k{n}: x" for n in range(20_000))
    values = f"{{{many}, bad: true, {many.replace('k', 'm')}}}"
    texts = edited(FURNACE, "{values: {running: 22 ohm}, source: a-paper}", f"{{values: {values}}}")
    found = mistakes(write(tmp_path, texts))
    assert "should be" in found[0]
    assert "not true or false" in found[0]


def test_a_path_is_never_shown_in_full(tmp_path: Path) -> None:
    texts = edited(CHECKS, "tools: [meter]", "tools: [hammer]")
    assert not any(str(tmp_path) in problem for problem in mistakes(write(tmp_path, texts)))


def test_reading_knowledge_imports_nothing_heavy() -> None:
    code = (
        "import sys; from lightoff.engine import library; library.check(library.shipped());"
        "print([name for name in ('numpy', 'networkx', 'experta', 'rich') if name in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
