"""An invented plate, 700 by 300 mm, as an independent pinhole camera sees it."""

import numpy as np
from PIL import Image, ImageDraw

CORNERS = np.array([(-350, -150), (350, -150), (350, 150), (-350, 150)], dtype=float)
FINE = 4  # parts of a pixel in which it is drawn
ENDS = np.array([(-180, 0), (180, 0)], dtype=float)  # 360 mm apart


def camera(points, tilt=0.5, turn=0.3, distance=1500.0, focal=950.0, middle=(480, 270)):
    """Places on a plane [mm] to pixels: rotate, move away, divide by depth."""
    cx, sx, cy, sy = np.cos(tilt), np.sin(tilt), np.cos(turn), np.sin(turn)
    about_x = np.array([[1, 0, 0], [0, cx, -sx], [0, sx, cx]])
    about_y = np.array([[cy, 0, sy], [0, 1, 0], [-sy, 0, cy]])
    space = np.c_[points, np.zeros(len(points))] @ (about_x @ about_y).T + [0, 0, distance]
    return focal * space[:, :2] / space[:, 2:] + middle


def picture():
    """The plate on a dark floor, a line on it between the ends."""
    image = Image.new("RGB", (960 * FINE, 540 * FINE), (44, 46, 50))
    draw = ImageDraw.Draw(image)
    draw.polygon([tuple(p) for p in camera(CORNERS) * FINE], fill=(150, 155, 160))
    draw.line([tuple(p) for p in camera(ENDS) * FINE], fill=(210, 200, 120), width=3 * FINE)
    return image.reduce(FINE)
