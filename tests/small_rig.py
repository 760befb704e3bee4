"""A small but complete AM station as data, for tests that change a line of it and load the whole."""

import copy
from pathlib import Path

import yaml

STATION = """
signs: NN0QTH
name: Test station
invented: yes
rules: us
license class: extra
mains: {voltage: 120 V, frequency: 60 Hz, rise: 10 %}
main switch: red lever beside the door
instruments:
  multimeter: {what: digital multimeter, range: 1000 V, accuracy: {reading: 0.5 %}}
  wattmeter: {what: through-line wattmeter, range: 100 W, accuracy: {full scale: 5 %}}
  calorimeter: {what: dummy load with thermometers, range: 2 kW, accuracy: {reading: 3 %}}
  old meter: {what: moving-coil meter of unknown accuracy}
"""
RIG = """
name: Finch
what: 40 m AM transmitter for tests
emission: A3E
audio: {bandwidth: 3 kHz}
modulation: {depth: 95 %, positive peak: 100 %}
final: pa
carriers:
  a: {frequency: 7.290 MHz, band: 40 m, crystal: Y1, tolerance: 50 ppm}
  b: {frequency: 7.285 MHz, band: 40 m, tolerance: 50 ppm}
stages:
  osc:
    kind: crystal oscillator
    circuit: Pierce
    tubes: {type: 6AG7, sockets: [V1], service: class C telegraphy}
    plate: {supply: lv, voltage: 250 V, current: 18 mA}
    screen: {supply: lv, through: R2, voltage: 150 V, current: 5 mA}
    grid: {leak: R1, current: 0.4 mA, bias: -19 V}
    output: {into: pa, power: 3 W}
  pa:
    kind: rf power
    name: Final
    driven by: osc
    protected by: K1
    tubes: {type: 6146B, sockets: [V2, V3], service: class C plate-modulated, system: ICAS}
    heater: {voltage: 6.3 V}
    plate: {supply: hv, modulated by: modulator, voltage: 560 V, current: 210 mA}
    screen: {from: plate, through: R12, voltage: 178 V, current: 17 mA}
    grid: {leak: R10, bias: -85 V, current: 7 mA}
    output: {network: tank, into: antenna, blocking: C20, power: 79 W}
  modulator:
    kind: modulator
    modulates: pa
    tubes: {type: KT88, sockets: [V4, V5], service: class AB1 audio}
    plate: {supply: hv, voltage: 575 V, current: 230 mA, idle: 110 mA}
    screen: {supply: lv, voltage: 290 V, current: 12 mA}
    grid: {bias: -36 V}
    transformer: {part: T3, ratio: "1.4", current: 250 mA}
    output: {into: pa, power: 74 W}
networks:
  tank: {form: pi, tune: C21, coil: L6, loading: C22}
supplies:
  hv:
    transformer: {part: T1, secondary: 1400 V, tap: centre, current: 500 mA, resistance: 40 ohm}
    rectifier: {type: 1N4007, circuit: full wave, legs: [CR1, CR2], in series: 3}
    filter: [{choke: L10}, {capacitor: C30}]
    bleeder: R30
    fuse: {part: F1, rating: 5 A}
    power factor: 90 %
    efficiency: 85 %
  lv:
    transformer: {part: T2, secondary: 800 V, tap: centre, current: 180 mA, resistance: 90 ohm}
    rectifier: {type: 5U4GB, circuit: full wave, legs: [V6]}
    filter: [{capacitor: C31, string: 2, equaliser: R34}]
    output: {voltage: 290 V}
meters:
  plate: {label: PLATE mA, shows: {stage: pa, value: plate current}, range: 300 mA, accuracy: {full scale: 2 %}}
parts:
  V1: {what: oscillator tube}
  V2: {what: final tube}
  V3: {what: final tube}
  V4: {what: modulator tube}
  V5: {what: modulator tube}
  V6: {what: rectifier tube}
  Y1: {what: crystal 7.290 MHz}
  R1: {what: oscillator grid leak, value: 47 kohm, power: 1 W}
  R2: {what: oscillator screen resistor, value: 27 kohm, power: 2 W}
  R10: {what: final grid leak, value: 12 kohm, power: 2 W}
  R12: {what: screen resistor, value: 22 kohm, power: 20 W}
  R30: {what: bleeder, value: 30 kohm, power: 50 W}
  R34: {what: sharing resistor, value: 220 kohm, power: 2 W}
  C20: {what: blocking capacitor, value: 2 nF, voltage: 2 kV}
  C21: {what: plate tuning, value: 180 pF}
  C22: {what: loading, value: 1200 pF}
  C30: {what: filter capacitor, value: 20 uF, voltage: 1500 V}
  C31: {what: filter capacitors, value: 80 uF, voltage: 450 V}
  L6: {what: tank coil, value: 5.2 uH}
  L10: {what: filter choke, value: 5 H, current: 500 mA, resistance: 50 ohm}
  T1: {what: plate transformer}
  T2: {what: low-voltage transformer}
  T3: {what: modulation transformer}
  F1: {what: slow 5 A fuse}
  K1: {what: relay held by grid current}
"""
READINGS = """
sessions:
  - date: 2024-05-11
    carrier: a
    condition: first full power
    stages:
      pa:
        plate voltage: {reads: 562 V, meter: multimeter}
        plate current: {reads: 218 mA, meter: plate}
        output power: {reads: 68 W, meter: wattmeter}
        heater voltage: {reads: 6.10 V, meter: multimeter}
  - date: 2026-10-03
    carrier: a
    condition: unmodulated, dummy load
    stages:
      pa:
        plate voltage: {reads: 560 V, meter: multimeter}
        plate current: {reads: 210 mA, meter: plate}
        output power: {reads: 79 W, meter: calorimeter}
    rig:
      modulation depth: {reads: 95 %, meter: old meter}
"""

LINKED = """
networks:
  tank:
    form: link
    tune: C21
    coil: L6
    loading: C22
    link coil: L9
    link coupling: 42 %
    coil q: "250"
    antenna load: 50 ohm
    stray: 8 pF
    settings: {a: {tune: 194 pF, loading: 216 pF}, b: {tune: 194 pF, loading: 216 pF}}
    low pass:
      form: Chebyshev
      elements: "5"
      edge: 9 MHz
      ripple: 0.01 dB
      coil q: "150"
      parts: [{capacitor: C31F}, {coil: L31}, {capacitor: C32F}, {coil: L32}, {capacitor: C33F}]
parts:
  C21: {what: plate tuning, value: 250 pF, least: 14 pF, voltage: 2 kV}
  C22: {what: loading in series with the link, value: 500 pF, least: 20 pF, voltage: 1.5 kV}
  C31F: {what: filter, value: 270 pF, voltage: 500 V}
  C32F: {what: filter, value: 560 pF, voltage: 500 V}
  C33F: {what: filter, value: 270 pF, voltage: 500 V}
  L5: {what: plate choke, value: 220 uH, current: 500 mA}
  L6:
    what: tank coil
    value: 2.0 uH
    current: 6 A
    winding: {turns: "6.5", diameter: 63 mm, length: 70 mm, wire: 3 mm}
  L7: {what: safety choke, value: 50 uH}
  L9: {what: link at the cold end of the tank coil, value: 1.2 uH, current: 4 A}
  L31: {what: filter, value: 1.15 uH, current: 6 A}
  L32: {what: filter, value: 1.15 uH, current: 6 A}
"""
"""Network and parts of the same rig with a tank and a link instead of a pi, and a filter behind it."""


def quoted(data):
    """YAML with every scalar in quotes, so that text stays text."""
    return yaml.safe_dump(data, sort_keys=False, allow_unicode=True, default_style='"')


class Small:
    """The station, one rig and its readings; change ``station``, ``rig`` or ``readings``, then load or examine."""

    def __init__(self, folder: Path):
        self.folder = folder
        self.station, self.rig, self.readings = (
            yaml.load(text, Loader=yaml.BaseLoader)  # noqa: S506 - the base loader makes nothing but text
            for text in (STATION, RIG, READINGS)
        )
        self.story = ""

    def write(self):
        """Files of the content folder, from the data as it stands."""
        home = self.folder / "rigs" / "finch"
        home.mkdir(parents=True, exist_ok=True)
        (self.folder / "station.yaml").write_text(quoted(self.station), encoding="utf-8")
        (home / "rig.yaml").write_text(quoted(self.rig), encoding="utf-8")
        (home / "readings.yaml").write_text(quoted(self.readings), encoding="utf-8")
        (home / "story.md").write_text(self.story, encoding="utf-8")
        return self.folder

    def load(self):
        """The content, or BadInput."""
        from builder.rig.load import load

        return load(self.write())

    def examine(self, until=None):
        """The examination of the rig."""
        from builder.examine import examine

        content = self.load()
        return examine(content, content.rigs[0], until)

    def problems(self):
        """Messages of every mistake, without the path of the folder; empty where there is none."""
        from builder.problem import BadInput

        try:
            self.load()
        except BadInput as error:
            return [problem.message for problem in error.problems]
        return []

    def take_a_link(self):
        """A tank with a tuned link and a filter in place of the pi network."""
        made = yaml.load(LINKED, Loader=yaml.BaseLoader)  # noqa: S506 - as above
        self.rig["networks"] = made["networks"]
        self.rig["parts"] |= made["parts"]
        self.rig["stages"]["pa"]["output"] |= {"choke": "L5", "safety choke": "L7"}
        self.rig["carriers"]["a"]["settings"] = {"plate tune": "38", "loading": "44"}
        return self

    def copy(self, folder):
        """The same data in another folder."""
        made = Small(folder)
        made.station, made.rig, made.readings = copy.deepcopy((self.station, self.rig, self.readings))
        return made
