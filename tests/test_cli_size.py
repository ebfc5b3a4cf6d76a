"""rick size: a finished form into staves, a stick, a green square, a wall and a window; without a book too."""

import pytest
from desk_side import Rick
from stocked import refused

FORM = {"unit", "form", "stave", "blank", "stick", "quartered", "block", "allowances", "green", "reversed"}


@pytest.fixture
def rick(tmp_path, monkeypatch, capsys) -> Rick:
    return Rick(tmp_path / "book.rick", monkeypatch, capsys)


def test_a_form_in_inches_without_a_book(rick):
    said = rick.done("size", "--diameter", "4", "in", "--length", "8in")
    assert said.out.splitlines() == [
        "A form 4 in (102 mm) across, 8 in (203 mm) long:",
        "stave    2 in (51 mm) square, planed; 10 in (254 mm) long",
        "         = 8 in finished + 1 1/2 in for two glue ends + 1/2 in for chucking and parting",
        "blank    2 1/8 in (54 mm) square, dry and rough: 1/8 in to plane",
        "stick    42 3/8 in (1076 mm) long",
        "         = 40 in of 4 staves + 3/8 in for 3 kerfs + 2 in for two end trims",
        "or       one dry square of 4 3/8 in (111 mm), free of pith, ripped in four",
        "block    4 in (102 mm) square, 5 11/16 in (144 mm) from corner to corner",
    ]
    assert "Caution: before the lathe" in said.err
    assert not rick.book.exists()


def test_the_document(rick):
    said = rick.done("size", "--diameter", "4in", "--length", "8in", "--kerf", "1/8in", "--staves", "3", "--json").json
    assert set(said) == FORM
    assert said["form"] == {"diameter_mm": 101.6, "length_mm": pytest.approx(203.2)}
    assert said["stave"]["square_mm"] == 50.8
    assert said["stave"]["length_mm"] / 25.4 == pytest.approx(10)
    assert said["stick"]["length_mm"] / 25.4 == pytest.approx(3 * 10 + 2 / 8 + 2)
    assert said["stick"]["saw_length_mm"] / 25.4 == pytest.approx(32.25)
    assert said["blank"]["saw_square_mm"] / 25.4 == pytest.approx(2.125)
    assert said["green"] is None
    assert said["reversed"] is None


def test_in_the_units_of_the_book(rick):
    rick.done("book", "units", "inch")
    assert rick.done("size", "--square", "2").out.startswith("A form 4 in (102 mm) across at most:")
    rick.done("book", "units", "metric")
    said = rick.done("size", "--diameter", "101", "--length", "203", "--glue-end", "0", "--chucking", "0")
    assert "stave    51 mm (2 in) square, planed; 203 mm (8 in) long" in said.out
    assert rick.entries() == 2


def test_wall_and_window(rick):
    said = rick.done("size", "--square", "1in", "--first-cut", "0.6in")
    assert "First cut 0.60 in (15.2 mm) in from the corner: 1.63 in (41.4 mm) across is left" in said.out
    assert "wall     0.40 in (10.2 mm) on the diagonal\n" in said.out
    assert "window   0.37 in (9.4 mm) wide" in said.out
    assert "only the ends hold. Keep each full square for 3/4 to 1 in" in said.out
    assert said.out.splitlines()[-1] == "Geometry, not strength."
    assert "knife-edged" in said.err
    found = rick.done("size", "--square", "1in", "--first-cut", "0.6in", "--json").json["reversed"]
    assert found["wall_mm"] / 25.4 == pytest.approx(0.4)
    assert found["note"] == "geometry, not strength"


def test_a_shallow_first_cut_leaves_glue_and_no_window(rick):
    said = rick.done("size", "--square", "50mm", "--first-cut", "15mm")
    assert "window   none: the staves touch" in said.out
    assert "wide at each joint there" in said.out


def test_a_smaller_second_turning(rick):
    found = rick.done("size", "--square", "1in", "--diameter", "1.8in", "--first-cut", "0.6in", "--json").json
    assert found["reversed"]["wall_mm"] / 25.4 == pytest.approx(0.3)


def test_thin_is_fragile_and_nothing_is_said_to_fall_apart(rick):
    assert "fragile, below 1/8 in" in rick.done("size", "--square", "1in", "--first-cut", "0.9in").out
    gone = rick.done("size", "--square", "1in", "--first-cut", "1.1in")
    assert "wall     none: nothing is left there" in gone.out
    assert "cut less than 1 in (25 mm) deep" in gone.out


def test_what_to_saw_green(rick):
    said = rick.done("size", "--square", "2in", "--green", "--species", "black cherry")
    assert "green    saw it 2 1/4 in (57 mm) square, green" in said.out
    assert (
        "shrinkage 7.1 % green to oven-dry; for a heated house, 8 %. The ring angle is not told: counted as the larger."
        in said.out
    )
    assert "Wood Handbook" in said.out
    assert "black cherry dust" in said.err
    found = rick.done("size", "--square", "46mm", "--species", "beech, American", "--rings", "20", "--json").json
    assert found["green"]["species"] == "Fagus grandifolia"
    assert found["green"]["saw_square_mm"] == 54
    assert found["green"]["lean_at_most"] is False


@pytest.mark.parametrize(
    ("words", "tangential", "saw"),
    [(["--shrinkage", "7.1"], 7.1, 52), (["--shrinkage", "3.7/7.1", "--rings", "22"], 7.1, 52)],
)
def test_the_persons_own_shrinkage(rick, words, tangential, saw):
    found = rick.done("size", "--square", "46mm", *words, "--json").json["green"]
    assert (found["tangential_pct"], found["saw_square_mm"], found["source"]) == (tangential, saw, "your own figure.")


def test_part_dry_wood_and_another_target_need_less(rick):
    sizes = [
        rick.done("size", "--square", "2in", "--shrinkage", "9", *more, "--json").json["green"]["square_mm"]
        for more in ([], ["--target", "12%"], ["--target", "12%", "--moisture", "18%"])
    ]
    assert sizes == sorted(sizes, reverse=True)
    assert len(set(sizes)) == 3


def test_the_target_and_the_own_figure_of_the_book(rick):
    rick.done("book", "set", "target", "11%")
    own = ("--property", "shrinkage_tangential_pct", "--value", "8.4", "--source", "measured here")
    rick.done("species", "--add", "common hawthorn", *own)
    found = rick.done("size", "--square", "46mm", "--green", "--species", "common hawthorn", "--json").json["green"]
    assert (found["tangential_pct"], found["target_pct"], found["radial_pct"]) == (8.4, 11, None)


@pytest.mark.parametrize("wood", ["orchard apple", "unknown"])
def test_no_figure_is_borrowed(rick, wood):
    said = rick.done("size", "--square", "46mm", "--green", "--species", wood)
    assert "green    not known: no shrinkage figure for" in said.out
    assert "none is borrowed" in said.out
    found = rick.done("size", "--square", "46mm", "--green", "--species", wood, "--json").json["green"]
    assert found["square_mm"] is None
    assert "none is borrowed" in found["why"]


def test_recalled_figures_are_called_unverified(rick):
    assert "green to oven-dry, unverified" in rick.done("size", "--square", "2in", "--species", "northern red oak").out


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--square", "2"], "has no unit"),
        (["--square", "2kg"], "weight"),
        (["--square", "-2in"], "negative"),
        (["--square", "0in"], "zero"),
        (["--diameter", "2in", "--length", "0in"], "zero"),
        (["--diameter", "6in", "--square", "2in"], "staves of 2 in (51 mm) give 4 in (102 mm) across at most"),
        (["--square", "1in", "--first-cut", "1.5in"], "passes the axis"),
        (["--square", "1in", "--kerf", "-1mm"], "negative"),
        (["--square", "1in", "--species", "cherry"], "several"),
        (["--square", "1in", "--species", "nosuchwood"], "no wood goes by the name"),
        (["--square", "1in", "--shrinkage", "70"], "shrinkage of 70"),
        (["--square", "1in", "--shrinkage", "1/2/3"], "one shrinkage"),
        (["--square", "1in", "--shrinkage", "7", "--rings", "100"], "ring angle"),
        (["--square", "1in", "--shrinkage", "7", "--moisture", "-3"], "negative"),
    ],
)
def test_what_cannot_be_is_one_sentence(rick, words, told):
    assert told in refused(rick, "size", *words).err
    assert not rick.book.exists()


@pytest.mark.parametrize("words", [[], ["--length", "8in"], ["--square", "1in", "--green"], ["--staves", "0"]])
def test_what_is_missing_is_asked_for(rick, words):
    said = rick("size", *words)
    assert said.code == 2
    assert len(said.err.splitlines()) == 2


def test_a_bare_number_makes_no_book_even_at_a_terminal(rick):
    assert rick("size", "--square", "2", answers=["in"]).code == 3
    assert not rick.book.exists()


def test_the_help_ends_with_examples(rick):
    lines = rick.done("size", "--help").out.rstrip().splitlines()
    assert lines[-1].strip().startswith("rick size --square")
    assert max(map(len, lines)) <= 80
