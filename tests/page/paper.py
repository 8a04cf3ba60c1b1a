# SPDX-License-Identifier: Apache-2.0
"""What stands on each sheet of a PDF that Chromium printed: reads the content of its pages far enough to place its text."""
import re
import zlib

_TOKEN = re.compile(rb"\((?:\\.|[^\\()])*\)|<[0-9A-Fa-f\s]*>|\[|\]|/[^\s/<>\[\]()]+|[-+.0-9]+|[A-Za-z*'\"]+")


def _times(a, b):
    """The matrix that applies a, then b; each as in PDF, (a, b, c, d, e, f)."""
    return (a[0] * b[0] + a[1] * b[2], a[0] * b[1] + a[1] * b[3], a[2] * b[0] + a[3] * b[2], a[2] * b[1] + a[3] * b[3],
            a[4] * b[0] + a[5] * b[2] + b[4], a[4] * b[1] + a[5] * b[3] + b[5])


def _places(content):
    """Where each piece of text starts, in points from the lower left corner of the sheet."""
    now, kept, line, numbers, out = (1, 0, 0, 1, 0, 0), [], (1, 0, 0, 1, 0, 0), [], []
    for token in _TOKEN.findall(content):
        if re.fullmatch(rb"[-+]?(\d+\.?\d*|\.\d+)", token):
            numbers.append(float(token))
            continue
        if token[:1] in b"([<]/":
            continue
        if token == b"q":
            kept.append(now)
        elif token == b"Q":
            now = kept.pop()
        elif token == b"cm" and len(numbers) >= 6:
            now = _times(tuple(numbers[-6:]), now)
        elif token == b"Tm" and len(numbers) >= 6:
            line = tuple(numbers[-6:])
        elif token in (b"Td", b"TD") and len(numbers) >= 2:
            line = _times((1, 0, 0, 1, numbers[-2], numbers[-1]), line)
        elif token in (b"Tj", b"TJ"):
            place = _times(line, now)
            out.append((place[4], place[5]))
        numbers = []
    return out


def sheets(pdf):
    """For each page the places of its texts, (x, y) in points from the lower left corner."""
    objects = {int(n): body for n, body in re.findall(rb"(?:^|\n)(\d+) 0 obj\s*(.*?)endobj", pdf, re.S)}
    out = []
    for _, body in sorted(objects.items()):
        if not re.search(rb"/Type\s*/Page\b", body):
            continue
        content = objects[int(re.search(rb"/Contents\s+(\d+)", body).group(1))]
        stream = re.search(rb"stream\r?\n(.*)\r?\nendstream", content, re.S).group(1)
        out.append(_places(zlib.decompress(stream) if b"FlateDecode" in content else stream))
    return out


def filled(places, height=842.0, margin=40.0):
    """How much of a sheet lies above its lowest text, 0 to 1."""
    return (height - margin - min(y for _, y in places)) / (height - 2 * margin) if places else 0.0


def one_sided(places, middle=297.0, step=15.0):
    """The longest stretch of a sheet, in points, of which one half is empty while the other has text."""
    rows = {}
    for x, y in places:
        rows.setdefault(int(y // step), set()).add(x < middle)
    longest = 0.0
    for half in (True, False):
        first = None
        for row in sorted(rows):
            if rows[row] == {half}:
                first = row if first is None else first
                longest = max(longest, step * (row - first + 1))
            else:
                first = None
    return longest


def printed_over(places, aside=4.0, least=0.3, most=5.0):
    """Pairs of letters of which one is printed over the other: side by side, and less than a line apart in height."""
    letters = sorted({(round(x, 1), round(y, 1)) for x, y in places})
    out = []
    for i, (x, y) in enumerate(letters):
        for x2, y2 in letters[i + 1:]:
            if x2 - x >= aside:
                break
            if least < abs(y - y2) < most:
                out.append(((x, y), (x2, y2)))
    return out
