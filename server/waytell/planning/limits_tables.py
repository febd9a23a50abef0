"""The numbers of ISO 286-1 up to 250 mm: standard tolerances and fundamental deviations, in micrometres.

They are tables, not formulas: the standard rounds what its formulas give by rules of its own. The tests compare every
row with published tables or with a second implementation and name them; what follows from a rule is in `limits_fits`.
"""

from __future__ import annotations

from bisect import bisect_left

# A step is over the one before it, up to and including its own end.
STEPS_MM = (3, 6, 10, 18, 30, 50, 80, 120, 180, 250)
FINE_STEPS_MM = (3, 6, 10, 14, 18, 24, 30, 40, 50, 65, 80, 100, 120, 140, 160, 180, 200, 225, 250)

# IT4 is here for the holes K to U of grade 5 alone, whose deviation takes the grade below.
TOLERANCE_UM = {
    4: (3, 4, 4, 5, 6, 7, 8, 10, 12, 14),
    5: (4, 5, 6, 8, 9, 11, 13, 15, 18, 20),
    6: (6, 8, 9, 11, 13, 16, 19, 22, 25, 29),
    7: (10, 12, 15, 18, 21, 25, 30, 35, 40, 46),
    8: (14, 18, 22, 27, 33, 39, 46, 54, 63, 72),
    9: (25, 30, 36, 43, 52, 62, 74, 87, 100, 115),
    10: (40, 48, 58, 70, 84, 100, 120, 140, 160, 185),
    11: (60, 75, 90, 110, 130, 160, 190, 220, 250, 290),
    12: (100, 120, 150, 180, 210, 250, 300, 350, 400, 460),
    13: (140, 180, 220, 270, 330, 390, 460, 540, 630, 720),
}

# Shafts: up to h the upper deviation, from k on the lower one; k is that of grades 4 to 7.
SHAFT_UM = {
    "d": (-20, -30, -40, -50, -65, -80, -100, -120, -145, -170),
    "e": (-14, -20, -25, -32, -40, -50, -60, -72, -85, -100),
    "f": (-6, -10, -13, -16, -20, -25, -30, -36, -43, -50),
    "g": (-2, -4, -5, -6, -7, -9, -10, -12, -14, -15),
    "h": (0, 0, 0, 0, 0, 0, 0, 0, 0, 0),
    "k": (0, 1, 1, 1, 2, 2, 2, 3, 3, 4),
    "m": (2, 4, 6, 7, 8, 9, 11, 13, 15, 17),
    "n": (4, 8, 10, 12, 15, 17, 20, 23, 27, 31),
    "p": (6, 12, 15, 18, 22, 26, 32, 37, 43, 50),
}
FINE_SHAFT_UM = {
    "c": (-60, -70, -80, -95, -95, -110, -110, -120, -130, -140, -150, -170, -180, -200, -210, -230, -240, -260, -280),
    "r": (10, 15, 19, 23, 23, 28, 28, 34, 34, 41, 43, 51, 54, 63, 65, 68, 77, 80, 84),
    "s": (14, 19, 23, 28, 28, 35, 35, 43, 43, 53, 59, 71, 79, 92, 100, 108, 122, 130, 140),
    "t": (None, None, None, None, None, None, 41, 48, 54, 66, 75, 91, 104, 122, 134, 146, 166, 180, 196),
    "u": (18, 23, 28, 33, 33, 41, 48, 60, 70, 87, 102, 124, 144, 170, 190, 210, 236, 258, 284),
}


def standard_tolerance_um(nominal_mm: float, grade: int) -> int:
    """Width of the tolerance of grades 4 to 13; the size is over 0 up to 250 mm."""
    return TOLERANCE_UM[grade][bisect_left(STEPS_MM, nominal_mm)]


def shaft_deviation_um(nominal_mm: float, letter: str) -> int | None:
    """The deviation of a shaft that lies nearer the nominal size; none where the standard has none at this size."""
    if letter in FINE_SHAFT_UM:
        return FINE_SHAFT_UM[letter][bisect_left(FINE_STEPS_MM, nominal_mm)]
    return SHAFT_UM[letter][bisect_left(STEPS_MM, nominal_mm)]
