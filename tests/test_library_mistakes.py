"""One line with place and mend for each mistake a knowledge folder can have."""

from pathlib import Path

import pytest

from tests.small_knowledge import CHECKS, FURNACE, PARTS, edited, line_of, mistakes, write

# fmt: off
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
    ("setups.yaml", "sets: {on: {", "sets: {onn: {", "no state of power is called 'onn'; did you"),
    ("setups.yaml", "cock.handle: ", "cock: ", "'cock' names no value; write PART.VALUE"),
    ("setups.yaml", "along-pipe", "along", "handle cannot be 'along'; did you mean along-pipe?"),
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
    (FURNACE, "  duct: {part", "  spare: {part: pipe}\n  duct: {part", "spare is connected to not"),
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
    (FURNACE, ", SUPPLY, duct]", ", SUPPLY]", "does not begin with a passage and end with one"),
    (FURNACE, "main, cock, INLET", "cock, main, INLET", "the gas train is out of order; it goes"),
    (FURNACE, "{COLLECTOR: gasket}", "{COLECTOR: gasket}", "'COLECTOR'; did you mean COLLECTOR?"),
    (FURNACE, "{COLLECTOR: gasket}", "{VENT: gasket}", "no tap before the inducer is called 'VENT"),
    (FURNACE, "{COLLECTOR: gasket}", "{COLLECTOR: vent}", "vent is a passage; name a part of kind"),
    (PARTS, "high-tap: ROOM", "high-tap: ROM", "no tap for high-tap is called 'ROM'"),
    # the sequence
    (FURNACE, "starts: off\n", "starts: of\n", "no step is called 'of'; did you mean off?"),
    (FURNACE, "path: [standby", "path: [stand", "no step is called 'stand'; did you mean standby"),
    (FURNACE, "board: board\n", "board: bord\n", "no control of this furnace is called 'bord'"),
    (FURNACE, "above: 15 V", "above: 15 uA", "15 uA is a current, not a voltage"),
    (FURNACE, "power: {volts: [R, C], ", "power: {", "power reads nothing, or two things"),
    (FURNACE, "power: {volts: [R, C]", "power: {volts: [R, N]", "no net has both terminals R and"),
    (FURNACE, "microamps: rod", "microamps: switch", "no flame sensor of this furnace is called"),
    (FURNACE, "counters: {tries: 3}", "counters: {tries: 0}", "tries is spent at 0; write 1 or mo"),
    (FURNACE, "from: [standby, p", "from: [stndby, p", "'stndby'; did you mean standby?"),
    (FURNACE, "when: not call", "when: not cal", "input or `COUNTER spent` is called 'cal'; did y"),
    (FURNACE, "counts: [tries]", "counts: [tris]", "no counter is called 'tris'; did you mean tri"),
    (FURNACE, "energise: [inducer-relay]", "energise: [inducer]", "no relay of this furnace is ca"),
    (FURNACE, "{gas-relay: 4 s}", "{gas-relay: 4}", "should be text, not a whole number"),
    (FURNACE, "{gas-relay: 4 s}", "{gas-relay: 4 V}", "4 V is a voltage, not a time"),
    (FURNACE, "after: 60 s", "after: -60 s", "a step cannot end before it begins"),
    (FURNACE, "to: lockout", "to: lokout", "no step is called 'lokout'; did you mean lockout?"),
    (FURNACE, "{when: draft, to: heating}", "{when: draft, to: proving-draft}", "leads to itself"),
    (FURNACE, "{after: 60 s, to: retry}", "{when: flame, to: retry}", "may wait for ever; add a w"),
    (FURNACE, "[standby, proving-draft, heating]\n", "[standby, heating]\n", "from standby to hea"),
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
    (CHECKS, "volts: [R, C]", "amps: board/sens", "no branch 'sens' of a board; did you mean"),
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
    (CHECKS, "thermostat.looks,", "thermostat.lok,", "a thermostat has no 'lok'; did you mean loo"),
    (CHECKS, "thermostat.contacts: closed", "thermostat: closed", "'thermostat' names no value"),
    (
        CHECKS,
        "contacts: closed",
        "contact: closed",
        "small has no value 'contact' of a thermostat; did you",
    ),
    (CHECKS, "contacts: closed", "contacts: shut", "contacts cannot be 'shut'; known are"),
    (CHECKS, "below 2 V", "under 2 V", "'under 2 V' is no band; write `below 2 V`"),
    (CHECKS, "below 2 V", "below 2 inwc", "2 inwc is a pressure, not a voltage"),
    (CHECKS, "below 2 V", "[low]", "this reading is a figure; write a band such as"),
    (CHECKS, "below 2 V", "below 5 V", "low overlaps none; let one end where the other begins"),
    (CHECKS, "below 2 V", "otherwise", "none has `otherwise` too; give all but one a band"),
    (CHECKS, "low: 2 to 18 V", "low: above 2 V", "nothing is left for `otherwise`"),
    (CHECKS, "live: otherwise", "live: 20 to 30 V", "no outcome for a reading from 18 V to 20 V"),
    (CHECKS, "below 10 min, long", "below 9 min, long", "no outcome for a reading from 9 min to 1"),
    (CHECKS, "draft-only: proving-draft", "draft-only: retry", "this never reads 'retry'"),
    (CHECKS, "[heating, satisfied]", "[heating]", "no outcome for the reading satisfied; add it"),
    (CHECKS, "[heating, satisfied]", "[heating, satisfied, off]", "off is in dead too; keep it in"),
    (CHECKS, "[heating, satisfied]", "[]", "this outcome has no words; give one, or `otherwise`"),
    (CHECKS, "sound: good, cracked: cracked", "sound: good, worn: worn", "this never reads 'worn'"),
    (CHECKS, "sound: good, cracked: cracked", "sound: otherwise", "one outcome tells nothing"),
    (CHECKS, "{sound: good, c", "{not-reached: good, c", "not-reached is no outcome of yours"),
    (CHECKS, "{dead: Nothing", "{ded: Nothing", "no outcome is called 'ded'; did you mean dead?"),
    (CHECKS, "  reads: {volts: [R, C", "  only-on: [small]\n  reads: {volts: [R, Q", "no term"),
]
# fmt: on


@pytest.mark.parametrize(("name", "old", "new", "message"), CASES)
def test_a_mistake_is_told_with_its_line_and_a_mend(
    tmp_path: Path, name: str, old: str, new: str, message: str
) -> None:
    found = mistakes(write(tmp_path, edited(name, old, new)))
    told = [problem for problem in found if message in problem]
    assert told, found
    assert "; " in told[0]


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
        (
            "  gas-relay: {part: relay}",
            "  gas-relay: {part: r}",
            "  gas-relay: {part",
            "no part is",
        ),
        ("to: lockout", "to: x", "- {when: tries spent", "no step is called 'x'"),
        (
            "{after: 60 s, to",
            "{when: [draft, call], after: 6 s, to",
            "    proving-draft:",
            "never taken",
        ),
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
    assert found == [f"{FURNACE}:{line}: no check reads step lockout; add a check with `during` it"]
