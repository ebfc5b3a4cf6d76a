"""One look for all pictures and pages: quiet, legible in grey, the same bytes for the same book."""

import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import matplotlib
from matplotlib.figure import Figure

# Dark and light differ in brightness as well as in hue, so that grey print and colour-blind eyes tell them apart.
READY = "#1f4e5f"
NEARLY = "#d9b36c"
INK = "#222222"
QUIET = "#777777"
RULE = "#bbbbbb"

A4_INCHES = (8.27, 11.69)
PICTURE_INCHES = (8.0, 4.5)
DPI = 150

_SETTINGS: Any = {
    "font.family": "DejaVu Sans",
    "font.size": 9,
    "text.color": INK,
    "axes.edgecolor": RULE,
    "axes.labelcolor": INK,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "xtick.color": INK,
    "ytick.color": INK,
    "text.parse_math": False,  # a note with $ in it is a note
    "pdf.fonttype": 42,
    "svg.hashsalt": "rick",
    "svg.fonttype": "none",
}


@contextmanager
def look() -> Iterator[None]:
    """Draw inside this: our look, and silence about letters that the font lacks (they are drawn as boxes)."""
    with matplotlib.rc_context(_SETTINGS), warnings.catch_warnings():
        warnings.filterwarnings("ignore", message="Glyph .* missing")
        warnings.filterwarnings("ignore", message="Matplotlib currently does not support")
        yield


def picture() -> Figure:
    """An empty picture."""
    return Figure(figsize=PICTURE_INCHES, dpi=DPI, layout="constrained")


def sheet() -> Figure:
    """An empty page to print."""
    return Figure(figsize=A4_INCHES, dpi=DPI)
