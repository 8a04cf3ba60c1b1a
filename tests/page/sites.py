# SPDX-License-Identifier: Apache-2.0
"""Difficult site files for the tests of pages. All are invented."""

MARKUP = """</title></style><script>window.hit=1</script><img src=x onerror="window.hit=1">'"&amp;<b>"""
CONTROL = "a\\u0000b\\u0007c\\u001b[31mred\\u202eback\\u2066in\\u200b"
RIGHT_TO_LEFT = "מעבדה \u0645\u062e\u062a\u0628\u0631 (3)"


def quoted(text):
    """The text as a basic string of TOML, with escaped control characters."""
    out = ""
    for letter in text:
        if letter in '"\\':
            out += "\\" + letter
        elif ord(letter) < 32 or ord(letter) == 127:
            out += "\\u%04x" % ord(letter)
        else:
            out += letter
    return '"' + out + '"'


def hostile():
    """Titles and names that contain markup and control characters, and very long ids."""
    control = CONTROL.encode().decode("unicode_escape")
    long_id = "i" * 10000
    return "\n".join([
        "title = " + quoted(MARKUP + control + RIGHT_TO_LEFT + "t" * 10000),
        "notes = " + quoted(MARKUP * 20),
        "[[space]]", "id = " + quoted(long_id), "name = " + quoted("n" * 10000), 'kind = "room"', 'volume = "30 m3"',
        "ignition = [" + quoted(MARKUP) + "]",
        "[[space]]", 'id = "b"', "name = " + quoted(MARKUP), 'kind = "room"', 'volume = "20 m3"',
        "[[space]]", 'id = "c"', "name = " + quoted(RIGHT_TO_LEFT + control), 'kind = "cabinet"', 'volume = "1 m3"',
        'air_changes = "1 /h"',
        "[[airway]]", "id = " + quoted(long_id), 'kind = "exchange"', 'between = ["b", "outside"]', 'flow = "20 m3/h"',
        "[[airway]]", 'id = "w"', 'kind = "exchange"', "between = [" + quoted(long_id) + ', "b"]', 'flow = "5 m3/h"',
        "[[gas]]", 'id = "g"', "name = " + quoted(MARKUP), 'molar_mass = "16 g/mol"', 'lfl = "4 %"', 'ufl = "16 %"',
        "source = " + quoted(MARKUP + "s" * 10000),
        "[[release]]", 'id = "r"', "name = " + quoted(MARKUP), 'kind = "steady"', "into = " + quoted(long_id),
        'gas = "g"', 'rate = "20 L/min"',
        "[[release]]", 'id = "q"', 'kind = "steady"', 'into = "c"', 'gas = "hydrogen"', 'rate = "2 L/min"',
        "[[case]]", 'id = "x"', "name = " + quoted(MARKUP + RIGHT_TO_LEFT + "m" * 10000),
        'event = [{ at = "1 h", release = "r", on = false }]']) + "\n"


def large(spaces=1000):
    """A building of corridors with rooms on both sides; every tenth room has a leak, of different sizes."""
    lines = ['title = "A building of %d spaces"' % spaces, "[criteria]", 'horizon = "4 h"']
    corridors = spaces // 20
    for c in range(corridors):
        lines += ["[[space]]", 'id = "corridor-%d"' % c, 'kind = "room"', 'volume = "120 m3"', 'air_changes = "1 /h"']
    for r in range(spaces - corridors):
        lines += ["[[space]]", 'id = "room-%d"' % r, 'kind = "room"', 'volume = "%d m3"' % (30 + r % 7 * 10)]
        lines += ["[[airway]]", 'id = "door-%d"' % r, 'kind = "exchange"',
                  'between = ["room-%d", "corridor-%d"]' % (r, r % corridors), 'flow = "%d m3/h"' % (10 + r % 5 * 5)]
        if r % 10 == 0:
            lines += ["[[release]]", 'id = "leak-%d"' % r, 'kind = "steady"', 'into = "room-%d"' % r,
                      'gas = "methane"', 'rate = "%d L/min"' % (1 + r % 90 // 10 * 2)]
    lines += ["[[case]]", 'id = "doors-shut"', "event = ["]
    for r in range(0, spaces - corridors, 3):
        lines.append('  { at = "30 min", airway = "door-%d", on = false },' % r)
    return "\n".join(lines + ["]"]) + "\n"


def rooms(count=24):
    """A corridor with rooms on both sides; every fourth room has a leak, one of them large; two cases."""
    lines = ['title = "A corridor with %d rooms"' % count]
    lines += ["[[space]]", 'id = "corridor"', 'name = "Corridor"', 'kind = "room"', 'floor_area = "60 m2"',
              'height = "2.7 m"', 'air_changes = "1 /h"']
    for r in range(1, count + 1):
        lines += ["[[space]]", 'id = "r%d"' % r, 'name = "Room %d"' % r, 'kind = "room"',
                  'floor_area = "%d m2"' % (15 + r % 7 * 6), 'height = "%s m"' % (2.7 if r % 3 else 3.2)]
        lines += ["[[airway]]", 'id = "door-%d"' % r, 'kind = "exchange"', 'between = ["r%d", "corridor"]' % r,
                  'flow = "%d m3/h"' % (20 + r % 5 * 10)]
        if r % 4 == 0:
            lines += ["[[release]]", 'id = "leak-%d"' % r, 'kind = "steady"', 'into = "r%d"' % r, 'gas = "methane"',
                      'rate = "%d L/min"' % (1 + r * r // 12)]
    lines += ["[[case]]", 'id = "shut"', 'name = "The door of room 24 is shut"',
              'event = [{ at = "10 min", airway = "door-%d", on = false }]' % count]
    return "\n".join(lines) + "\n"
