"""The recording commands as they are typed: what is said, what is stored, what is refused."""

import json
import math
from pathlib import Path

import pytest
from desk_side import Rick
from found import piece, rows
from said import day, g, mm

from stock.cli.app import RECORD, load
from stock.cli.lifting import green_density_kg_m3
from stock.cli.telling import packed, run, wrapped
from stock.wood import species
from stock.yard.noting import defect
from stock.yard.ovening import oven

INCH = 25.4
MINE = ("fell", "add", "cut", "split", "saw", "seal", "trim", "plane", "treat")


@pytest.fixture
def rick(tmp_path: Path, monkeypatch, capsys) -> Rick:
    return Rick(tmp_path / "own" / "book.rick", monkeypatch, capsys)


@pytest.fixture
def tree(rick) -> str:
    rick.done("fell", "--species", "black cherry", "--on", "2026-05-20", "--how", "storm")
    return "T1B"


@pytest.fixture
def log(rick) -> str:
    rick.done("add", "--kind", "log", "--species", "black cherry", "--dia", "300mm+260mm", "--length", "1000mm",
              "--on", "2026-05-21", "--place", "shed / rack 2")  # fmt: skip
    return "1B"


@pytest.fixture
def blank(rick) -> str:
    rick.done("add", "--kind", "blank", "--species", "black cherry", "--square", "51mm", "--length", "330mm",
              "--part", "heart", "--on", "2025-03-02")  # fmt: skip
    return "1B"


# A tree


def test_a_tree_as_the_screens_have_it(rick):
    said = rick("fell", "--species", "black cherry", "--on", "spring 2024", "--how", "storm", "--site", "a lane")
    assert said.code == 0
    assert said.out.splitlines() == [
        "Tree T1B: black cherry (Prunus serotina), as told.",
        "Came down in spring 2024, storm; a lane.",
        "Next: rick cut T1B --lengths 26in+26in+22in  (the logs get marks of their own)",
    ]
    caution = "Caution: yard trees hide metal; detector before any saw. More: rick fell --help"
    assert said.err.splitlines() == [f"A new book: {rick.book}", caution]
    (fallen,) = rows(rick.book, "tree")
    assert (fallen["how"], fallen["on_text"], fallen["site"]) == ("storm", "spring 2024", "a lane")


def test_everything_known_of_a_tree_is_kept(rick):
    rick.done("fell", "--species", "common yew", "--dead", "--sure", "guess", "--by", "the vicar", "--evidence", "leaf",
              "--site", "lane", "--from", "parish", "--promise", "a bowl", "--limb", "trunk", "--tag", "old yew",
              "--note", "call back", "--how", "removal")  # fmt: skip
    (fallen,) = rows(rick.book, "tree")
    (opinion,) = rows(rick.book, "opinion")
    (entry,) = rows(rick.book, "entry")
    assert (fallen["alive"], fallen["got_from"], fallen["promise"]) == (False, "parish", "a bowl")
    assert (opinion["said"], opinion["sure"], opinion["by_whom"]) == ("common yew", "guess", "the vicar")
    assert (entry["verb"], entry["note"]) == ("fell", "call back")
    assert piece(rick.book, "old yew").mark == "T1B"


def test_an_unknown_tree_is_a_full_answer(rick):
    said = rick.done("fell", "--species", "unknown", "--dead")
    assert "wood unknown; weights and moisture work without a name" in said.out
    assert "stood dead" in said.out


def test_a_tree_for_programs(rick):
    said = rick.done("fell", "--species", "black cherry", "--on", "spring 2024", "--json")
    assert said.json == {
        "mark": "T1B",
        "tag": None,
        "kind": "tree",
        "species": "Prunus serotina",
        "said": "black cherry",
        "sure": "probable",
        "how": "unknown",
        "alive": None,
        "site": None,
        "on_first": "2024-03-01",
        "on_last": "2024-05-31",
        "on_text": "spring 2024",
        "stored": True,
        "warnings": [],
    }


def test_a_tree_is_under_load_only_for_thirty_days(rick):
    assert "loaded or hung-up" in rick("fell", "--how", "storm", "--on", "2026-05-20").err
    assert "loaded or hung-up" not in rick("fell", "--how", "storm", "--on", "2026-04-20").err


# From elsewhere


def test_a_piece_from_elsewhere_is_told_in_both_systems(rick):
    said = rick.done("add", "--kind", "blank", "--species", "black cherry", "--square", "2 in", "--length", "13 in",
                     "--part", "heart", "--rings", "quarter", "--tag", "K-1", "--place", "shop")  # fmt: skip
    assert said.out.splitlines() == [
        '1B "K-1"  black cherry heart blank  51 x 51 x 330 mm  shop',
        "that is 2 x 2 x 13 in",
        "Next: rick weigh 1B ...",
    ]
    found = piece(rick.book, "K-1")
    assert (found.size.length_mm, found.look.ring_deg) == (13 * INCH, 75)


def test_a_log_from_elsewhere_has_metal_in_it_too(rick):
    said = rick("add", "--kind", "log", "--species", "northern red oak", "--dia", "12in", "--length", "24in")
    assert "yard trees hide metal" in said.err
    # "A 12 x 24 in green section weighs about 100 lb": common practice, no source; red oak is a heavy one.
    assert "about 46 kg (100 lb)" in said.err
    assert "More: rick fell --help" in said.err


def test_the_weight_of_unknown_wood_is_never_guessed(rick):
    said = rick.done("add", "--kind", "log", "--dia", "24in", "--length", "48in")
    assert "kg" not in said.err


def test_green_density_is_basic_density_and_its_water(rick):
    cherry = species.find("black cherry")
    basic = species.best_basic_specific_gravity(cherry).value
    water = cherry.value("green_mc_tree_pct").value
    assert green_density_kg_m3(cherry) == pytest.approx(1000 * basic + 1000 * basic * water / 100)


# Crosscut


def test_logs_in_order_from_the_butt(rick, tree):
    said = rick.done("cut", tree, "--lengths", "2x26in+22in", "--dia", "12in+11.5in+11in+10in", "--tags", "a++c")
    assert said.out.splitlines() == [
        "T1B crosscut into 3 logs, in order from the butt:",
        '  660 mm (26 in) long: 1B "a", 2C',
        '  559 mm (22 in) long: 3D "c"',
        "Next: seal the ends within hours: rick seal 1B-3D",
    ]
    first, second = piece(rick.book, "1B"), piece(rick.book, "2C")
    assert (first.size.dia_butt_mm, first.size.dia_top_mm) == pytest.approx((12 * INCH, 11.5 * INCH))
    assert second.made.from_butt_mm == pytest.approx(26 * INCH + 8)
    assert second.made.order_no == 2


def test_logs_for_programs(rick, tree):
    document = rick.done("cut", tree, "--lengths", "26in+22in", "--kerf", "0", "--json").json
    assert document["parent"] == tree
    assert [(one["mark"], one["kind"], one["length_mm"], one["from_butt_mm"]) for one in document["pieces"]] == [
        ("1B", "log", 26 * INCH, 0),
        ("2C", "log", 22 * INCH, 26 * INCH),
    ]
    assert document["warnings"] == []


def test_the_heaviest_log_is_said_before_it_is_lifted(rick, tree):
    said = rick.done("cut", tree, "--lengths", "1000mm+300mm", "--dia", "300mm+260mm+250mm")
    litres = math.pi / 8 * (0.300**2 + 0.260**2) * 1000
    kg = litres * green_density_kg_m3(species.find("black cherry")) / 1000
    assert f"about {kg:.0f} kg" in said.err
    assert said.err.count("Caution: chain saw") == 1


def test_the_rest_of_a_log_stays(rick, log):
    said = rick.done("cut", log, "--lengths", "300mm", "--rest")
    assert "1B stays on hand, 692 mm (27 1/4 in) long." in said.out
    assert piece(rick.book, log).on_hand


def test_many_different_lengths_fit_the_screen(rick, tree):
    said = rick.done("cut", tree, "--lengths", "+".join(f"{n}mm" for n in range(300, 420, 10)))
    assert "1B 300 mm, 2C 310 mm" in said.out
    assert len(said.out.splitlines()) <= 6
    assert "12N 410 mm" in said.out


# Split and sawn


def test_halves_and_quarters(rick, log):
    said = rick.done("split", log, "--into", "4")
    assert said.out.startswith("1B split into 4 billets:\n  1000 mm (39 3/8 in) long: 2C, 3D, 4E, 5F\n")
    assert [piece(rick.book, mark).kind for mark in ("2C", "5F")] == ["billet", "billet"]
    assert rick("split", "2C", "--into", "3").code == 3


def test_blanks_of_one_kind(rick, log):
    said = rick.done("saw", log, "--blanks", "6", "--square", "2in", "--length", "13in",
                     "--part", "4xheart+2xsap", "--rings", "flat", "--place", "shop / low")  # fmt: skip
    assert said.out.splitlines() == [
        "1B sawn into 6 blanks, in order:",
        "  51 x 51 mm (2 x 2 in), 330 mm (13 in) long: 2C, 3D, 4E, 5F, 6G, 7H",
        "Next: seal the ends, weigh each: rick seal 2C-7H; rick weigh 2C ...",
    ]
    assert [piece(rick.book, mark).look.part for mark in ("2C", "5F", "6G")] == ["heart", "heart", "sap"]
    assert piece(rick.book, "7H").place == "shop / low"
    assert not piece(rick.book, log).on_hand


def test_blanks_each_with_its_own(rick, log):
    document = rick.done(
        "saw", log, "--length", "2x330mm+280mm", "--square", "52x50+51+51x49 mm", "--tags", "K-1+K-2+K-3",
        "--mass", "812g+790g+800g", "--from-butt", "0+340mm+680mm", "--rings", "flat+45+quarter", "--json"
    ).json  # fmt: skip
    assert [(b["tag"], b["length_mm"], b["width_mm"], b["thickness_mm"]) for b in document["pieces"]] == [
        ("K-1", 330, 52, 50),
        ("K-2", 330, 51, 51),
        ("K-3", 280, 51, 49),
    ]
    assert [b["from_butt_mm"] for b in document["pieces"]] == [0, 340, 680]
    assert [b["ring_deg"] for b in document["pieces"]] == [15, 45, 75]
    assert [weighing["mass_g"] for weighing in rows(rick.book, "weighing")] == [812, 790, 800]


def test_a_dried_square_pinches_and_a_round_rolls(rick, log, tree):
    assert "a round to the band saw" in rick.done("saw", log, "--blanks", "1", "--square", "60mm").err
    assert "pinch the blade" in rick.done("saw", "2C", "--blanks", "2", "--square", "25x50mm").err


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--blanks", "6"), "the square of the blanks is missing"),
        (("--square", "51mm"), "how many blanks?"),
        (("--blanks", "0", "--square", "51mm"), "0 blanks cannot be sawn"),
        (("--blanks", "-3", "--square", "51mm"), "-3 blanks cannot be sawn"),
        (("--blanks", "3", "--square", "51mm+52mm"), "2 squares for 3 blanks"),
        (("--blanks", "3", "--square", "51mm", "--tags", "a"), "one tag for 3 blanks"),
        (("--blanks", "3", "--square", "51mm", "--mass", "800g"), "one weight for 3 blanks"),
        (("--blanks", "many", "--square", "51mm"), '"many" is not a number of blanks'),
    ],
)
def test_lists_that_do_not_agree_are_misuse(rick, log, words, said):
    before = rick.entries()
    refused = rick("saw", log, *words)
    assert (refused.code, rick.entries()) == (2, before)
    assert said in refused.err


def test_squares_with_and_without_a_unit_are_not_mixed(rick, log):
    refused = rick("saw", log, "--blanks", "2", "--square", "2in+51")
    assert refused.code == 3
    assert "give each its unit" in refused.err


def test_reserved_marks_only(rick, log):
    refused = rick("saw", log, "--blanks", "2", "--square", "51mm", "--as", "214-215")
    assert refused.code == 3
    assert "was never reserved" in refused.err


# Coats and treatments


def test_a_range_of_pieces_is_sealed(rick, tree):
    rick.done("cut", tree, "--lengths", "5x300mm")
    said = rick.done("seal", "1-3", "4E+5F", "--coats", "2")
    assert said.out.startswith("5 pieces: ends sealed: wax emulsion, 2 coats\n  1B, 2C, 3D, 4E, 5F\n")
    assert piece(rick.book, "5F").coat.where == "ends"


def test_a_tag_that_looks_like_a_range_is_a_tag(rick, tree):
    rick.done("cut", tree, "--lengths", "3x300mm", "--tags", "1-3+x+y")
    assert rick.done("seal", "1-3", "--json").json["pieces"] == ["1B"]


def test_a_range_with_a_stranger_in_it_seals_nothing(rick, tree):
    rick.done("cut", tree, "--lengths", "3x300mm")
    refused = rick("seal", "1-9")
    assert (refused.code, rows(rick.book, "operation")[-1]["kind"]) == (3, "crosscut")
    assert "4E" in refused.err


def test_a_weighed_coat(rick, blank):
    said = rick.done("seal", blank, "--before", "812g", "--after", "818g", "--wet")
    assert said.out.splitlines() == [
        "1B  ends sealed: wax emulsion, 1 coat",
        "the coat weighs 6 g (1/4 oz) wet; it never counts as wood",
        "Next: weigh when the coat is dry: rick weigh 1B ...",
    ]
    assert "wax over water" not in said.err
    assert "wax over water" in rick.done("seal", blank, "--all", "--coat", "melted wax").err
    assert rick.done("seal", blank, "--off", "--json").json["off"] is True


def test_two_places_at_once_are_misuse(rick, blank):
    assert rick("seal", blank, "--ends", "--all").code == 2


@pytest.mark.parametrize(
    ("how", "said"),
    [
        ("bark off", "bark taken off"),
        ("soak", "soaked"),
        ("glycol", "soaked in glycol"),
        ("spalt", "left to spalt"),
    ],
)
def test_treatments(rick, blank, how, said):
    assert rick.done("treat", blank, "--how", how).out.startswith(f"1B  {said}\n")


def test_spalting_takes_dry_wood_away(rick, blank):
    assert "dry wood lost: taken as 8 %" in rick.done("treat", blank, "--how", "spalt", "--loss", "8%").out
    refused = rick("treat", blank, "--how", "fried")
    assert refused.code == 3
    assert "Known: bark off, soak" in refused.err


# Trimmed and planed


@pytest.fixture
def known(rick, blank, page, hand) -> str:
    """A blank whose dry mass is known from a section: 500 g of it hold 420 g of dry wood, 19.0 %."""
    from stock.book import journal

    with journal.writing(rick.book, hand("oven")) as p:
        wet, dry = g(59.5), g(50)
        oven(p, piece=blank, on=day("2026-05-30"), wet=wet, dry=dry, before=g(559.5), after=g(500))
    return blank


def test_a_trim_carries_the_dry_mass_over(rick, known):
    said = rick.done("trim", known, "--before", "500g", "--after", "424g", "--length", "280mm")
    lines = said.out.splitlines()
    assert lines[0] == "1B  trimmed from 330 mm to 280 mm (11 in); weight and length agree (85 %)"
    assert lines[1].startswith("dry mass 419 g -> 355 g; moisture still 19")
    assert lines[1].endswith(": a trim does not dry wood")
    assert lines[2] == "Fresh ends: rick seal 1B, then weigh it; that weight starts the new course."
    assert len(lines) <= 6


def test_a_trim_without_weights_says_what_that_costs(rick, known):
    said = rick.done("trim", known, "--length", "280mm")
    assert "was not weighed before and after" in said.err.replace("\n  ", " ")
    document = rick.done("trim", known, "--top-off", "10mm", "--json").json
    assert (document["length_before_mm"], document["length_mm"]) == (280, 270)
    assert document["oven_dry_g"] == pytest.approx(document["oven_dry_before_g"] * 270 / 280, rel=0.01)


def test_a_trim_cuts_a_check_off(rick, blank, hand):
    from stock.book import journal

    with journal.writing(rick.book, hand("defect")) as p:
        defect(p, piece=blank, kind="end check", on=day("2026-05-30"), end="butt", length=mm(20))
    said = rick.done("trim", blank, "--butt-off", "25mm")
    assert "end check of 20 mm, butt end is cut off" in said.out


def test_weight_and_length_that_disagree_are_said(rick, known):
    said = rick.done("trim", known, "--before", "500g", "--after", "350g", "--length", "280mm")
    assert "weight and length do not agree" in said.out
    assert "one of them is wrong" in said.err.replace("\n  ", " ")


def test_planed(rick, known):
    said = rick.done("plane", known, "--square", "48x47mm", "--before", "500g", "--after", "434g")
    assert said.out.startswith(
        "1B  planed from 51 x 51 mm to 48 x 47 mm (1 7/8 x 1 7/8 in); weight and square\n  agree (87 %)\n"
    )
    assert "short stock kicks back" in said.err
    found = piece(rick.book, known)
    assert (found.size.thickness_mm, found.size.surface) == (47, "planed")
    assert rick.done("plane", known, "--turned", "--before", "434g", "--after", "300g").out.startswith("1B  turned\n")


# What all share


def test_dry_run_shows_all_and_stores_nothing(rick, tree):
    before = rick.entries()
    said = rick.done("cut", tree, "--lengths", "2x300mm", "--dry-run")
    assert "1B, 2C" in said.out
    assert "Next:" not in said.out
    assert "Dry run: nothing was stored." in said.err
    assert rick.entries() == before
    assert rick.done("cut", tree, "--lengths", "2x300mm", "--dry-run", "--json").json["stored"] is False


def test_a_dry_run_on_no_book_leaves_none(rick):
    assert rick.done("fell", "--species", "common yew", "--dry-run").out
    assert not rick.book.exists()


def test_another_day_than_today_is_said(rick, log):
    assert (
        " on 25 May 2026, in order from the butt:"
        in rick.done("cut", log, "--lengths", "9in", "--on", "2026-05-25").out
    )


def test_dates_against_the_order_of_things_may_be_insisted_on(rick, log):
    refused = rick("cut", log, "--lengths", "300mm", "--on", "2026-05-01")
    assert refused.code == 3
    assert "insist on it: --insist." in refused.err
    said = rick.done("cut", log, "--lengths", "300mm", "--on", "2026-05-01", "--insist")
    assert "1B was made on 21 May 2026" in said.err.replace("\n  ", " ")


REFUSALS = [
    (("cut", "9K", "--lengths", "26in"), 3, "unknown-piece", "no piece 9K is on the book"),
    (("cut", "1C", "--lengths", "26in"), 3, "unknown-piece", "the mark for 1 is 1B"),
    (("split", "nobody"), 3, "unknown-piece", 'no piece "nobody"'),
    (("saw", "9K", "--blanks", "1", "--square", "51mm"), 3, "unknown-piece", "no piece 9K"),
    (("seal", "9K"), 3, "unknown-piece", "no piece 9K"),
    (("seal", "9-3"), 3, "unclear", "runs backwards"),
    (("trim", "9K", "--length", "280mm"), 3, "unknown-piece", "no piece 9K"),
    (("plane", "9K", "--square", "48mm"), 3, "unknown-piece", "no piece 9K"),
    (("treat", "9K", "--how", "soak"), 3, "unknown-piece", "no piece 9K"),
    (("fell", "--species", "gum"), 3, "ambiguous-name", '"gum" is the name of several unrelated trees'),
    (("fell", "--species", "xyzzy"), 3, "unknown-species", "xyzzy"),
    (("fell", "--how", "struck"), 3, "unclear", '"struck" is not a way for a tree to come down'),
    (
        ("fell", "--species", "common yew", "--on", "2027-12-01"),
        3,
        "impossible-value",
        "1 December 2027 has not come yet",
    ),
    (("fell", "--species", "common yew", "--on", "03/04/2026"), 3, "unclear", "03/04/2026"),
    (("add", "--kind", "plank"), 3, "unclear", '"plank" is not a kind of piece'),
    (("add", "--kind", "tree"), 3, "unclear", "a tree cannot be added"),
    (("add", "--kind", "log", "--species", "gum"), 3, "ambiguous-name", '"gum"'),
    (("add", "--kind", "log", "--dia", "1in+2in+3in"), 2, "usage", "a piece has two ends"),
    (("add", "--kind", "blank", "--length", "10"), 3, "unclear", '"10" has no unit'),
    (("add", "--kind", "blank", "--length", "nan mm"), 3, "unclear", "not a number"),
    (("add", "--kind", "blank", "--length", "inf"), 3, "unclear", "not a number"),
    (("add", "--kind", "blank", "--square", "-51mm"), 3, "impossible-value", "cannot be negative"),
    (("add", "--kind", "blank", "--part", "bark"), 3, "unclear", '"bark" is not a part of the wood'),
    (("add", "--kind", "blank", "--rings", "100"), 3, "impossible-value", '"100"'),
    (("add",), 2, "usage", "--kind"),
    (
        ("trim", "1B", "--before", "1-8.5", "--after", "1 lb"),
        3,
        "unclear",
        '1B: "1-8.5": 1 lb 8.5 oz (695 g), or a slip for 1.85?',
    ),
    (("trim", "1B", "--before", "500", "--after", "400"), 3, "unclear", '1B: "500" has no unit'),
    (("trim", "1B", "--before", "400g", "--after", "500g"), 3, "impossible-value", "trimming adds no weight"),
    (("trim", "1B", "--length", "NaN"), 3, "unclear", "not a number"),
    (("trim", "1B", "--length", "400mm"), 3, "impossible-value", "1B was 330 mm long"),
    (("trim", "1B"), 3, "unclear", "nothing says what was trimmed"),
    (("plane", "1B", "--square", "1,250"), 3, "unclear", "1,250"),
    (("plane", "1B", "--square", "60mm"), 3, "impossible-value", "1B had a width of 51 mm"),
    (("seal", "1B", "--coats", "0"), 3, "unclear", "0 coats?"),
    (("seal", "1B", "--coats", "two"), 2, "usage", '"two" is not a number of coats'),
    (("split", "1B", "--into", "half"), 2, "usage", '"half" is not a number of parts'),
    (("seal",), 2, "usage", "PIECE"),
    (("saw", "1B", "--blanks", "2", "--square", "25mm", "--rings", "curly"), 3, "unclear", '1B: "curly"'),
    (("saw", "1B", "--blanks", "1", "--square", "51mm", "--length", "340mm"), 3, "impossible-value", "longer than 1B"),
    (("cut", "1B", "--lengths", "200mm+200mm"), 3, "impossible-value", "add up to 400 mm"),
    (("cut", "1B", "--lengths", "100mm", "--kerf", "nan"), 3, "unclear", "not a number"),
    (("split", "1B"), 3, "not-now", "1B is a blank"),
    (("cut", "1B"), 2, "usage", "nobody answers here"),
    (("saw",), 2, "usage", "nobody answers here"),
    (("fell",), 2, "usage", "nobody answers here"),
    (("fell", "--colour", "red"), 2, "usage", "--colour"),
]


@pytest.mark.parametrize(
    ("words", "code", "kind", "said"), REFUSALS, ids=lambda v: " ".join(v) if isinstance(v, tuple) else None
)
def test_refusals_store_nothing_and_say_why(rick, blank, words, code, kind, said):
    before = rick.entries()
    refused = rick(*words)
    assert (refused.code, refused.out) == (code, "")
    assert refused.err.startswith("rick: ")
    assert said in refused.err
    told = rick(*words, "--json")
    assert (told.code, told.err) == (code, "")
    document = told.json
    assert document["code"] == kind
    assert said in document["error"]
    assert document["error"][-1] in ".?:!;"
    assert rick.entries() == before


@pytest.mark.parametrize("words", [("cut",), ("saw",), ("fell",)])
def test_without_a_terminal_it_says_what_to_type(rick, words):
    refused = rick(*words)
    assert "Type it: rick " in refused.err


def test_a_refused_first_entry_leaves_no_book(rick):
    assert rick("fell", "--species", "gum").code == 3
    assert not rick.book.exists()
    assert rick("seal", "1B").code == 5


def test_nothing_is_wider_than_the_screen(rick):
    for words in (
        ("fell", "--species", "northern red oak", "--how", "storm", "--site", "behind the old school", "--alive"),
        ("cut", "T1B", "--lengths", "+".join(f"{n}in" for n in range(14, 26)), "--dia", "15in", "--tags",
         "+".join(f"oak {n}" for n in range(12))),
        ("split", "1B", "--into", "4"),
        ("saw", "13P", "--blanks", "4", "--square", "2x1 7/8in", "--length", "6in+7in+8in+9in"),
        ("saw", "14Q", "--blanks", "3", "--square", "2in"),
        ("seal", "2-8"),
        ("trim", "17T", "--butt-off", "1in"),
        ("plane", "17T", "--square", "1 3/4 in"),
        ("treat", "17T", "--how", "spalt"),
        ("fell", "--species", "gum"),
    ):  # fmt: skip
        said = rick(*words)
        assert said.code in (0, 3)
        assert len(said.out.splitlines()) <= 6, said.out
        for line in said.lines:
            assert len(line) <= 80 or str(rick.book) in line, line


@pytest.mark.parametrize("name", MINE)
def test_help_ends_with_examples_that_the_command_takes(rick, name):
    said = rick(name, "--help")
    assert said.code == 0
    assert "Example" in said.out
    assert all(len(line) <= 80 for line in said.out.splitlines())
    for option in ("--on", "--note", "--dry-run", "--json"):
        assert option in said.out


def test_every_command_is_where_the_table_says():
    for name in MINE:
        assert load(name, RECORD[name]).name == name


# Lines


def test_items_are_packed_without_cutting_one():
    lines = packed("  9 in:", [f"{n}X" for n in range(100, 160)], 2, "... {} more")
    assert len(lines) == 2
    assert all(len(line) <= 80 for line in lines)
    shown = sum(line.count("X") for line in lines)
    assert lines[-1].endswith(f", ... {60 - shown} more")


def test_marks_as_they_would_be_typed():
    assert run(["1B", "2C", "3D"]) == "1B-3D"
    assert run(["1B", "2C"]) == "1B 2C"
    assert run(["1B", "3D", "4E"]) == "1B 3D 4E"


def test_folded_lines_keep_words_whole():
    assert wrapped("x" * 76 + " rick cut T7H --lengths 26in+26in") == "x" * 76 + "\n  rick cut T7H --lengths 26in+26in"
    assert json.dumps(wrapped("short")) == '"short"'
