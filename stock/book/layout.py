"""The CSV files of a whole book: their names and columns, the same for what goes out and what comes in.

A notebook typed into a spreadsheet needs only the first few columns of the files it has. A column of a measure carries
its unit in its name. `piece` and `parent_tag` hold a tag or a mark.
"""

from typing import NamedTuple


class Layout(NamedTuple):
    """The columns of one file: those that a line cannot do without, and those that may be left out."""

    needed: tuple[str, ...]
    more: tuple[str, ...]

    @property
    def columns(self) -> tuple[str, ...]:
        return self.needed + self.more


def _layout(needed: str, more: str = "") -> Layout:
    return Layout(tuple(needed.split()), tuple(more.split()))


_SIZE = "width_mm thickness_mm length_mm dia_butt_mm dia_top_mm surface"
_LOOK = "part ring_deg bark_face sap_faces pith_in"

# In the order in which they are best read.
FILES = {
    "settings.csv": _layout("name value on"),
    "scales.csv": _layout("scales unit step_g", "capacity_g"),
    "scale_checks.csv": _layout("scales on true_g read_g"),
    "places.csv": _layout("place cover walk_no", "note"),
    "air.csv": _layout("place temp_c rh_pct", "on month at_time"),
    "trees.csv": _layout(
        "tag species felled_on",
        "site how alive sure by_whom evidence limb_or_trunk lean got_from promise site_private mark note",
    ),
    "pieces.csv": _layout(
        "tag parent_tag kind made_on",
        f"species {_SIZE} figure {_LOOK} from_butt_mm order_no place role bark_on origin mark note",
    ),
    "opinions.csv": _layout("piece on species", "sure by_whom evidence note"),
    "sizes.csv": _layout("piece on", f"{_SIZE} note"),
    "figures.csv": _layout("piece on trait", f"face {_LOOK} grade run_out note"),
    "weighings.csv": _layout("piece on mass_g", "scales role step_g state at_time note"),
    "sections.csv": _layout(
        "piece on wet_g dry_g",
        "label position_mm before_g after_g step_g length_mm end volume_cm3 whole scorched dried_on note",
    ),
    "trims.csv": _layout("piece on length_mm", "before_g after_g butt_off_mm top_off_mm note"),
    "planes.csv": _layout("piece on", "before_g after_g width_mm thickness_mm turned note"),
    "seals.csv": _layout("piece on coat", "where before_g after_g coats wet off note"),
    "treatments.csv": _layout("piece on how", "before_g after_g loss_pct note"),
    "meters.csv": _layout("piece on reading_pct", "beyond wood_c meter note"),
    "defects.csv": _layout(
        "piece on kind", "end length_mm face depth_mm width_mm from_butt_mm how_many severity how_seen note"
    ),
    "moves.csv": _layout("piece on place", "seen_only note"),
    "departures.csv": _layout("piece on outcome", "reason to_whom note"),
}
