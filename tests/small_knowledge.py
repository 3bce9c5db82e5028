"""A small furnace and all that is known of it, for tests to break in one place."""

from pathlib import Path

from lightoff.engine import library

FURNACE = "furnaces/small.yaml"
PARTS = "parts/all.yaml"
CHECKS = "checks/all.yaml"
RULES = "rules/all.yaml"


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
        "how: {on: Close it., off: Open it.},\n"
        "   sets: {on: {cock.handle: along-pipe, other.handle: x}}, source: common-practice}\n"
    ),
    "repairs/all.yaml": (
        "- {id: mend, title: Mend it, minutes: 20, price: low, hazards: [live],\n"
        "   isolate: [Open it.], take-out: [Take it out.], refit: [Put it in.],\n"
        "   before-it-runs: [Try it.], replaced-whole: The part., source: common-practice}\n"
    ),
    PARTS: part("supply", "supply", "volts: 120 V, source-resistance: 0.3 ohm")
    + part(
        "transformer",
        "transformer",
        "primary-resistance: 8 ohm, primary-load: 360 ohm, secondary-resistance: 1.2 ohm, "
        "ratio: 0.22",
    )
    + part("board", "board", "draws: 100 ohm, input-resistance: 1 kohm, sense-resistance: 1 Mohm")
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
    + part("rod", "flame-sensor", "coating: 0.1 Mohm, flame-resistance: 12 Mohm, rectified: 0.4")
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
  reads: {condition: thermostat.looks, with: {thermostat.contacts: closed, valve.opens-at: normal}}
  outcomes: {sound: good, cracked: cracked}
  provokes: [heat]
  minutes: 1
- id: since-when
  area: a
  by: ask
  ask: Did it come suddenly or slowly?
  how: [Ask.]
  reads: {told: true}
  outcomes: {sudden: sudden, slow: slow}
  phase: customer
  opens: the cover
  words: [onset]
  minutes: 1
""",
    RULES: """\
- id: slow-onset
  says: What comes slowly is wear.
  when: [{found: since-when, is: slow}]
  then: [{derive: wears-out}]
  source: a-paper
  examples:
    fires: [{found: {since-when: slow}}]
    spares: [{found: {since-when: sudden}}]
- id: worn-draft
  says: Wear that shows while draft is proved is in the way of the flue gas.
  when: [{fact: wears-out}, {stalls-in: [proving-draft]}]
  then: [{weigh: [igniter.aged, vent], by: 3}, {rule-out: hose.off}, {derive: draft-worn}]
  source: from-memory
  examples:
    fires: [{found: {since-when: slow, stalls: draft-only}}]
    spares: [{found: {since-when: slow}}, {facts: [wears-out]}]
- id: look-at-the-vent
  says: A vent that wears has a cause.
  when: [{fact: draft-worn}, {suspect: vent, above: 30 %}, {found: volts-in-retry, above: 18 V}]
  then: [{oblige: Find the cause.}, {ask: thermostat-looks}, {caution: live}]
  source: common-practice
  examples:
    fires:
      - found: {since-when: slow, volts-in-retry: 24 V}
        stalls-in: proving-draft
        suspects: {vent.blocked: 40 %}
    spares:
      - {found: {volts-in-retry: live}, facts: [draft-worn], suspects: {vent.blocked: 40 %}}
- id: nothing-to-measure-with
  says: It cannot be gone on with.
  when: [{lacks-tool: meter}, {repaired: mend}, {licence: none}]
  then: [{stop: live}, {hold-back: [volts-in-retry]}, {leave-open: Get a meter.}]
  source: common-practice
  examples:
    fires: [{lacks: [meter], repaired: [mend], licence: none}]
    spares: [{lacks: [meter], repaired: [mend]}]
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
