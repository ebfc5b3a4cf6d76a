"""Books of squares that dry as the shells have it, weighed now and then: for forecasts, scores, pictures."""

from collections.abc import Sequence
from datetime import date, timedelta
from pathlib import Path

import numpy as np
from notebooks import write
from squares import weights

from stock.cli import main
from stock.wood.air import emc_pct
from stock.wood.drying import Air

TODAY = date(2026, 6, 1)
SHED_AIR, SHOP_AIR = (12.0, 70.0), (20.0, 40.0)  # degC, % RH: they keep wood near 13.4 and 7.7 %
ROUNDS = (0, 12, 26, 45, 70, 100, 135, 175, 220, 270, 320, 380, 440)
WOODS = ("black cherry", "sugar maple", "white ash")


def air(told: tuple[float, float]) -> Air:
    """The same air all the time."""
    return Air((0.0,), (emc_pct(*told),), (told[0],))


def notebook(
    folder: Path, groups: Sequence[tuple[str, date, Sequence[int], Sequence[float]]], *, sections: bool = True
) -> Path:
    """A notebook of squares in the shed.

    Args:
        folder: where to.
        groups: (tag, made on, days of weighing, taus in days) of squares of one tree; a square for each tau.
        sections: whether the first square of each tree has a moisture section.
    """
    rng = np.random.default_rng(5)
    trees, pieces, weighings = (
        ["tag,species,felled_on"],
        ["tag,parent_tag,kind,made_on,width_mm,thickness_mm,length_mm,place"],
        ["piece,on,mass_g"],
    )
    slices = ["piece,on,wet_g,dry_g,before_g,after_g"]
    for number, (tree, made, rounds, taus) in enumerate(groups):
        trees.append(f"{tree},{WOODS[number % len(WOODS)]},{made - timedelta(days=20)}")
        for i, tau in enumerate(taus):
            tag, dry_g = f"{tree}-{i + 1}", 430.0 + 10 * i
            pieces.append(f"{tag},{tree},blank,{made},50,50,330,shed")
            net = weights(dry_g, rounds, air(SHED_AIR), start=0.65, tau=tau, offset=0.0)
            for day, mass_g in zip(rounds, net, strict=True):
                weighings.append(f"{tag},{made + timedelta(days=day)},{round(mass_g + rng.normal() * 0.7)}")
            if sections and i == 0:
                slices.append(f"{tag},{made},66.0,40.0,{round(net[0]) + 66},{round(net[0])}")
    shed = [
        "place,month,temp_c,rh_pct",
        *(f"{place},{m},{t},{rh}" for place, (t, rh) in (("shed", SHED_AIR), ("shop", SHOP_AIR)) for m in range(1, 13)),
    ]
    files = {"trees": trees, "pieces": pieces, "weighings": weighings, "sections": slices, "air": shed}
    return write(folder, {name: "\n".join(lines) + "\n" for name, lines in files.items()})


def book(folder: Path, notes: Path) -> Path:
    """A book into which a notebook was imported."""
    path = folder / "book.rick"
    assert main(["--book", str(path), "book", "import", str(notes)], today=TODAY) == 0
    assert main(["--book", str(path), "book", "units", "metric"], today=TODAY) == 0
    return path
