"""Published cutting and packing instances with their optima.

All optima were recomputed by an independent exact solver before they were
typed in here. ``first_fit`` is what first-fit decreasing needs.
"""

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Published:
    """One instance.

    Attributes
    ----------
    source : str
        Where it was published.
    stock : int
        Length of the board, unit of the source.
    wanted : Mapping of int to int
        Lengths and how many of each.
    boards : int
        Fewest boards.
    first_fit : int
        Boards that first-fit decreasing needs.
    """

    source: str
    stock: int
    wanted: Mapping[int, int]
    boards: int
    first_fit: int


K14 = {
    442: 1, 252: 7, 127: 5, 106: 4, 85: 1, 84: 1, 46: 1, 37: 2, 12: 3, 10: 6, 9: 2,
}  # fmt: skip

U120_00 = {
    98: 3, 96: 2, 94: 1, 93: 2, 92: 1, 91: 2, 90: 1, 87: 1, 86: 1, 85: 2, 84: 5,
    83: 2, 82: 2, 81: 1, 80: 3, 79: 2, 78: 4, 76: 1, 74: 2, 73: 4, 72: 1, 71: 1,
    70: 3, 69: 3, 67: 1, 66: 1, 64: 1, 62: 2, 60: 2, 59: 1, 58: 3, 57: 4, 55: 3,
    50: 1, 49: 3, 47: 1, 46: 2, 45: 2, 44: 2, 43: 4, 42: 5, 41: 3, 39: 2, 38: 3,
    37: 1, 36: 3, 35: 1, 33: 3, 32: 2, 30: 3, 29: 1, 28: 1, 27: 2, 26: 1, 25: 2,
    24: 1, 23: 2, 20: 1,
}  # fmt: skip

INSTANCES = {
    "K1": Published(
        "Chvatal, Linear Programming (1983), ch. 13; solved in the public notebook "
        "'Chiwei Yan - Cutting Stock' (linear bound 452.25, optimum 453)",
        100, {45: 97, 36: 610, 31: 395, 14: 211}, 453, 485,
    ),
    "K2": Published(
        "the same as misprinted (35 for 36) in a vendor manual's example 4.5",
        100, {45: 97, 35: 610, 31: 395, 14: 211}, 453, 485,
    ),
    "K3": Published(
        "encyclopedia article 'Cutting stock problem': 73 rolls, 0.401 % waste",
        5600,
        {
            1380: 22, 1520: 25, 1560: 12, 1710: 14, 1820: 18, 1880: 18, 1930: 20,
            2000: 10, 2050: 12, 2100: 14, 2140: 16, 2150: 18, 2200: 20,
        },
        73, 82,
    ),
    "K4": Published(
        "textbook exercise, 25 ft boards, problem text at brainmass.com 78145; "
        "answer computed",
        25, {7: 700, 9: 1200, 10: 300}, 775, 784,
    ),
    "K5": Published(
        "textbook exercise, transtutors.com 614843; answer computed",
        25, {7: 700, 9: 1200, 10: 500}, 875, 884,
    ),
    "K6": Published(
        "textbook exercise, transtutors.com 6449103; answer computed",
        25, {7: 5000, 9: 1200, 11: 300}, 2167, 2217,
    ),
    "K7": Published(
        "textbook exercise, topwriteressays.com; answer computed",
        20, {3: 50, 4: 25, 8: 15, 10: 70}, 54, 55,
    ),
    "K8": Published(
        "Winston, Operations Research, Woodco example; data from memory, "
        "answer computed",
        17, {3: 25, 5: 20, 9: 15}, 19, 19,
    ),
    "K9": Published(
        "data of the cutstock.mzn example of MiniZinc; answer computed",
        10, {7: 2, 5: 2, 3: 4}, 4, 4,
    ),
    "K10": Published(
        "instance without the integer round-up property (1.96 over all patterns, "
        "2.09 over proper ones, optimum 3); data from memory, recomputed",
        132, {44: 2, 33: 3, 12: 6}, 3, 3,
    ),
    "K11": Published(
        "Falkenauer (1996) u120_00, as in BPPLib.jl test data; lower bound 48",
        150, U120_00, 48, 49,
    ),
    "K14": Published(
        "Graham and Coffman's anomaly of first fit; from memory, recomputed",
        524, K14, 7, 7,
    ),
    "K15": Published(
        "K14 without the 46: first fit needs one board more for one piece less",
        524, {size: n for size, n in K14.items() if size != 46}, 7, 8,
    ),
    "K16": Published(
        "constructed triplets without waste",
        5000,
        {
            2440: 1, 2380: 1, 2220: 1, 2150: 1, 1920: 1, 1670: 1, 1560: 1, 1510: 1,
            1490: 1, 1440: 1, 1410: 2, 1220: 1, 1110: 1, 1070: 1,
        },
        5, 6,
    ),
}  # fmt: skip
