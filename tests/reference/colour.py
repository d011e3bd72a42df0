"""How colours are seen: contrast after WCAG 2.2, colour blindness after Machado et al. 2009.

WCAG 2.2, "relative luminance" and "contrast ratio"; sRGB after IEC 61966-2-1. G. M. Machado,
M. M. Oliveira, L. A. F. Fernandes, IEEE Trans. Vis. Comput. Graphics 15 (2009) 1291-1298: matrices
of severity 1.0, for linear sRGB (from memory; each row sums to 1, so that grey stays grey).
Distance: CIE 1976 L*a*b*, white D65 (ISO/CIE 11664-4).
"""

from __future__ import annotations

from math import hypot

Rgb = tuple[int, int, int]
MACHADO = {
    "protanopia": (
        (0.152286, 1.052583, -0.204868),
        (0.114503, 0.786281, 0.099216),
        (-0.003882, -0.048116, 1.051998),
    ),
    "deuteranopia": (
        (0.367322, 0.860646, -0.227968),
        (0.280085, 0.672501, 0.047413),
        (-0.011820, 0.042940, 0.968881),
    ),
    "tritanopia": (
        (1.255528, -0.076749, -0.178779),
        (-0.078411, 0.930809, 0.147602),
        (0.004733, 0.691367, 0.303900),
    ),
}
_WHITE = 0.95047, 1.0, 1.08883


def rgb(text: str) -> Rgb:
    """A colour as in "#0072b2"."""
    return int(text[1:3], 16), int(text[3:5], 16), int(text[5:7], 16)


def linear(colour: Rgb) -> tuple[float, ...]:
    """Linear light (0 to 1) of an sRGB colour."""
    shares = (part / 255 for part in colour)
    return tuple(s / 12.92 if s <= 0.04045 else ((s + 0.055) / 1.055) ** 2.4 for s in shares)


def luminance(colour: Rgb) -> float:
    """Relative luminance, 0 to 1."""
    red, green, blue = linear(colour)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: Rgb, other: Rgb) -> float:
    """Contrast ratio, 1 to 21."""
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def seen(colour: Rgb, blindness: str) -> tuple[float, ...]:
    """Linear light of the colour as somebody with that blindness sees it."""
    light = linear(colour)
    rows = MACHADO[blindness]
    mixed = (sum(a * b for a, b in zip(row, light, strict=True)) for row in rows)
    return tuple(min(max(part, 0.0), 1.0) for part in mixed)


def distance(one: tuple[float, ...], other: tuple[float, ...]) -> float:
    """Colour difference of two linear lights; about 2.3 is just noticed."""
    (l1, a1, b1), (l2, a2, b2) = _lab(one), _lab(other)
    return hypot(l1 - l2, a1 - a2, b1 - b2)


def _lab(light: tuple[float, ...]) -> tuple[float, float, float]:
    red, green, blue = light
    xyz = (
        0.4124564 * red + 0.3575761 * green + 0.1804375 * blue,
        0.2126729 * red + 0.7151522 * green + 0.0721750 * blue,
        0.0193339 * red + 0.1191920 * green + 0.9503041 * blue,
    )
    x, y, z = (_root(part / white) for part, white in zip(xyz, _WHITE, strict=True))
    return 116 * y - 16, 500 * (x - y), 200 * (y - z)


def _root(share: float) -> float:
    return share ** (1 / 3) if share > (6 / 29) ** 3 else share / (3 * (6 / 29) ** 2) + 4 / 29
