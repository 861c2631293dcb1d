"""What a terminal makes of sixels, read off the rules and not off the writer.

Source: Digital Equipment Corporation, VT330/VT340 Programmer Reference Manual, volume 2, chapter
14, Sixel Graphics (vt100.net/docs/vt3xx-gp/chapter14.html): DCS P1;P2;P3 q ... ST; a sign is six
pixels, sent as its value plus 3F hexadecimal, the lowest bit on top; ``!`` repeats, ``"`` gives
the raster's size, ``#`` chooses or (with ;2; and hundredths of red, green and blue) defines a
colour, ``$`` returns to the left, ``-`` goes to the next line of sixels. With P2 = 1, pixels that
no bit is set for stay as they were.
"""

import re

import numpy as np

_PARTS = re.compile(r'!(\d+)([?-~])|"([\d;]+)|#([\d;]+)|([$\-])|([?-~])')
SENT = re.compile(r"\x1bP([\d;]*)q([^\x1b]*)\x1b\\")


def decoded(text: str) -> tuple[np.ndarray, np.ndarray]:
    """Red, green, blue in hundredths of each pixel, and which pixels were painted."""
    (found,) = SENT.finditer(text)
    assert found[1].split(";")[1] == "1"
    data = found[2]
    width = height = x = band = 0
    colours, colour = {}, None
    pixels = painted = np.zeros((0, 0))
    place = 0
    while place < len(data):
        part = _PARTS.match(data, place)
        assert part, data[place : place + 20]
        place = part.end()
        count, sign, raster, chosen, turn, single = part.groups()
        if raster:
            aspect, by, width, height = map(int, raster.split(";"))
            assert aspect == by == 1
            pixels, painted = np.zeros((height, width, 3), int), np.zeros((height, width), bool)
        elif chosen:
            number, *rest = map(int, chosen.split(";"))
            if rest:
                assert rest[0] == 2
                assert all(0 <= value <= 100 for value in rest[1:])
                colours[number] = rest[1:]
            colour = number
        elif turn:
            x, band = 0, band + (turn == "-")
        else:
            bits = ord(sign or single) - 0x3F
            repeat = int(count or 1)
            for row in range(6):
                if bits >> row & 1:
                    assert 6 * band + row < height, "a pixel below the raster"
                    assert x + repeat <= width, "a pixel right of the raster"
                    pixels[6 * band + row, x : x + repeat] = colours[colour]
                    painted[6 * band + row, x : x + repeat] = True
            x += repeat
    return pixels, painted
