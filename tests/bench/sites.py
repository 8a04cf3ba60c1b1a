#!/usr/bin/env python3
# SPDX-License-Identifier: Apache-2.0
"""Writes an invented site for timing to standard output.

    sites.py store           five rooms joined by doorways, wind, and 20 cylinders that empty at once
    sites.py gaps [ROOMS]    rooms along corridors, joined by gaps and doorways: all flows follow pressures (1000)
    sites.py floor [SPACES]  corridors of twenty rooms with fans, openings and exchanges; leaks of three gases (10500)
    sites.py wing            31 spaces with solved pressures and 24 values given as ranges
"""

import random
import sys


def table(name, /, **keys):
    def written(value):
        plain = isinstance(value, (int, float)) or value[0] in "{["
        return value if plain else f'"{value}"'

    return "\n".join([f"[[{name}]]"] + [f"{key} = {written(value)}" for key, value in keys.items()]) + "\n"


def between(a, b):
    return f'["{a}", "{b}"]'


def store():
    print('title = "Five rooms of cylinders"\n[conditions]\noutside_temperature = "8 degC"\nwind_speed = "4 m/s"\n'
          '[criteria]\nhorizon = "8 h"\n')
    for i in range(5):
        print(table("space", id=f"room-{i}", kind="room", floor_area=f"{20 + 5 * i} m2", height="2.7 m",
                    stratification="worse of both"))
        print(table("airway", id=f"window-{i}", kind="gap", between=between(f"room-{i}", "outside"),
                    leakage_area=f"{100 + 20 * i} cm2", height="1.5 m", wind_coefficient=-0.3 if i % 2 else 0.6))
    for i in range(4):
        print(table("airway", id=f"door-{i}", kind="doorway", between=between(f"room-{i}", f"room-{i + 1}"),
                    width="0.9 m", height="2 m"))
    gases = ["hydrogen", "methane", "propane", "nitrogen", "carbon-dioxide", "helium"]
    for k in range(20):
        gas = gases[k % len(gases)]
        liquid = gas in ("propane", "carbon-dioxide")
        content = {"contents": "10 kg"} if liquid else {"water_volume": "50 L", "pressure": "200 bar"}
        print(table("release", id=f"cylinder-{k}", kind="cylinder", into=f"room-{k % 5}", gas=gas, **content,
                    hole=f"{1 + k % 3} mm"))


def gaps(rooms):
    dice = random.Random(1)
    print(f'title = "A building of {rooms} rooms with gaps"\n[conditions]\noutside_temperature = "2 degC"\n'
          'wind_speed = "3 m/s"\n[criteria]\nhorizon = "8 h"\n')
    per_floor = 50
    floors = (rooms + per_floor - 1) // per_floor
    for floor in range(floors):
        here = min(per_floor, rooms - floor * per_floor)
        corridor, level = f"f{floor}-corridor", f"{3 * floor} m"
        print(table("space", id=corridor, kind="room", volume="220 m3", height="2.7 m", elevation=level))
        for side, wind in (("front", 0.6), ("back", -0.3)):
            print(table("airway", id=f"{corridor}-{side}", kind="gap", between=between(corridor, "outside"),
                        leakage_area="150 cm2", height="1.5 m", wind_coefficient=wind))
        if floor > 0:
            print(table("airway", id=f"f{floor}-stair", kind="gap", between=between(f"f{floor - 1}-corridor", corridor),
                        leakage_area="400 cm2", height="2.6 m"))
        for i in range(here - 1):
            room = f"f{floor}-r{i}"
            print(table("space", id=room, kind="room", volume=f"{dice.randint(40, 160)} m3", height="2.7 m",
                        elevation=level, temperature=f"{dice.randint(18, 23)} degC"))
            print(table("airway", id=f"{room}-window", kind="gap", between=between(room, "outside"),
                        leakage_area=f"{dice.randint(20, 80)} cm2", height="1.4 m",
                        wind_coefficient=0.6 if i % 2 else -0.3))
            if i % 3 == 0:
                print(table("airway", id=f"{room}-door", kind="doorway", between=between(room, corridor),
                            width="0.9 m", height="2 m"))
            else:
                print(table("airway", id=f"{room}-door", kind="gap", between=between(room, corridor),
                            leakage_area="120 cm2"))
            if i > 0 and dice.random() < 0.2:
                print(table("airway", id=f"{room}-hatch", kind="gap", between=between(f"f{floor}-r{i - 1}", room),
                            leakage_area="15 cm2", height="1 m"))
            if (floor * per_floor + i) % 40 == 7:
                gas = ("methane", "hydrogen", "propane")[dice.randint(0, 2)]
                print(table("release", id=f"{room}-tap", kind="steady", into=room, gas=gas,
                            rate=f"{dice.randint(1, 12)} L/min"))


def floor(spaces):
    dice = random.Random(2)
    gases = ("methane", "hydrogen", "propane")
    print(f'title = "A floor of {spaces} spaces"\n[criteria]\nhorizon = "8 h"\n')
    per_corridor = 21
    for first in range(0, spaces, per_corridor):
        c = first // per_corridor
        corridor = f"c{c}"
        print(table("space", id=corridor, kind="room", volume=f"{dice.randint(150, 260)} m3"))
        print(table("airway", id=f"{corridor}-window", kind="opening", between=between(corridor, "outside")))
        if c > 0:
            print(table("airway", id=f"{corridor}-mixing", kind="exchange", between=between(f"c{c - 1}", corridor),
                        flow=f"{dice.randint(60, 180)} m3/h"))
        for i in range(min(per_corridor, spaces - first) - 1):
            room, volume = f"{corridor}-r{i}", dice.randint(30, 180)
            supply = round(volume * dice.uniform(2, 5))
            print(table("space", id=room, kind="room", volume=f"{volume} m3"))
            print(table("airway", id=f"{room}-supply", kind="fan", **{"from": "outside"}, to=room,
                        flow=f"{supply} m3/h"))
            print(table("airway", id=f"{room}-extract", kind="fan", **{"from": room}, to="outside",
                        flow=f"{round(supply * dice.uniform(0.85, 1.15))} m3/h"))
            print(table("airway", id=f"{room}-door", kind="opening", between=between(room, corridor)))
            if i % 3 == 1:
                print(table("airway", id=f"{room}-hatch", kind="exchange", between=between(f"{corridor}-r{i - 1}", room),
                            flow=f"{dice.randint(5, 60)} m3/h"))
            k = first + i
            if k % 66 == 7:  # such a leak brings its room to a margin, the others do not
                lower = {"methane": 0.044, "hydrogen": 0.04, "propane": 0.017}
                gas = gases[k // 66 % 3]
                print(table("release", id=f"{room}-leak", kind="steady", into=room, gas=gas,
                            rate=f"{lower[gas] * supply * dice.uniform(0.3, 0.9) / 60 * 1000:.1f} L/min"))
            elif k % 16 == 3:
                print(table("release", id=f"{room}-taps", kind="fittings", into=room, gas="methane",
                            count=dice.randint(2, 12), each="3 mL/min"))


def wing():
    def ranged(low, best, high):
        return f'{{ low = "{low}", best = "{best}", high = "{high}" }}'

    print('title = "A wing of thirty rooms"\n[conditions]\noutside_temperature = "5 degC"\nwind_speed = "3 m/s"\n'
          '[criteria]\nhorizon = "8 h"\n')
    print(table("space", id="corridor", kind="room", volume="320 m3", height="2.7 m"))
    for side, wind in (("front", 0.6), ("back", -0.3)):
        print(table("airway", id=f"corridor-{side}", kind="gap", between=between("corridor", "outside"),
                    leakage_area=ranged("200 cm2", "300 cm2", "500 cm2"), height="1.5 m", wind_coefficient=wind))
    for i in range(30):
        room, first = f"r{i}", i < 8
        volume = 40 + 4 * i
        print(table("space", id=room, kind="room", height="2.7 m",
                    volume=ranged(f"{volume - 8} m3", f"{volume} m3", f"{volume + 5} m3") if first else f"{volume} m3"))
        print(table("airway", id=f"{room}-window", kind="gap", between=between(room, "outside"), height="1.4 m",
                    leakage_area=ranged("20 cm2", "40 cm2", "90 cm2") if first else f"{30 + i} cm2",
                    wind_coefficient=0.6 if i % 2 else -0.3))
        if i % 3 == 0:
            print(table("airway", id=f"{room}-door", kind="doorway", between=between(room, "corridor"), width="0.9 m",
                        height="2 m"))
        else:
            print(table("airway", id=f"{room}-door", kind="gap", between=between(room, "corridor"),
                        leakage_area="120 cm2"))
        if i % 5 == 2:
            print(table("airway", id=f"{room}-extract", kind="fan", **{"from": room}, to="outside", flow="90 m3/h"))
        if i % 5 == 1:
            print(table("release", id=f"{room}-leak", kind="steady", into=room,
                        gas=("hydrogen", "methane", "propane")[i % 3],
                        rate=ranged("1 L/min", "4 L/min", "15 L/min")))


def main():
    arguments = sys.argv[1:]
    if arguments == ["store"]:
        store()
    elif arguments[:1] == ["gaps"] and len(arguments) <= 2:
        gaps(int(arguments[1]) if len(arguments) == 2 else 1000)
    elif arguments[:1] == ["floor"] and len(arguments) <= 2:
        floor(int(arguments[1]) if len(arguments) == 2 else 10500)
    elif arguments == ["wing"]:
        wing()
    else:
        sys.exit(__doc__)


main()
