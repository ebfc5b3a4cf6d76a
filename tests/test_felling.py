"""Trees and pieces that come onto the book, their tags, and what wood they are said to be."""

import pytest
from found import piece, rows
from said import day, mm, raw

from stock.book.records import SpeciesValue
from stock.errors import Ambiguous, Impossible, Unclear, Unknown
from stock.yard.cutting import cut
from stock.yard.felling import add, fell, opinion, put_tag

ON = day("2026-05-03")
STORM = {"on": day("2026-03"), "how": "storm", "species": "black cherry"}


def test_a_tree_comes_with_all_that_was_told(book, page):
    with page("fell") as p:
        tree = fell(
            p,
            species="Black  Cherry",
            on=day("spring 2024"),
            how="storm",
            alive=True,
            sure="certain",
            by_whom="neighbour",
            evidence="leaf and bark",
            site="churchyard wall",
            got_from="the parish",
            promise="a bowl",
            limb_or_trunk="limb",
            tag="the cherry",
        )
    assert (tree.mark, tree.tag, tree.how, tree.alive) == ("T1B", "the cherry", "storm", True)
    assert (tree.wood.key, tree.wood.scientific) == ("prunus-serotina", "Prunus serotina")
    assert tree.days_ago == (day("today").last - day("2024-05-31").last).days
    (row,) = rows(book, "tree")
    assert (row["site"], row["got_from"], row["promise"], row["limb_or_trunk"]) == (
        "churchyard wall",
        "the parish",
        "a bowl",
        "limb",
    )
    (said,) = rows(book, "opinion")
    assert (said["said"], said["sure"], said["by_whom"], said["evidence"], said["rank"]) == (
        "Black Cherry",
        "certain",
        "neighbour",
        "leaf and bark",
        "species",
    )
    kept = piece(book, "the cherry").made
    assert (kept.on_first, kept.on_last, kept.on_text) == (
        day("2024-03-01").first,
        day("2024-05-31").last,
        "spring 2024",
    )


@pytest.mark.parametrize("said", ["", "unknown", "?"])
def test_t21_an_unknown_wood_is_a_full_answer(book, page, said):
    with page() as p:
        tree = fell(p, species=said, on=ON, sure="certain")
    assert (tree.wood.name, tree.wood.scientific, tree.wood.sure, tree.wood.key) == (
        "unknown",
        "unknown",
        "unknown",
        "",
    )
    assert piece(book, tree.mark).wood.scientific == "unknown"


@pytest.mark.parametrize(
    ("said", "refusal", "code"),
    [("gum", Ambiguous, "ambiguous-name"), ("plastic", Unknown, "unknown-species")],
)
def test_a_name_that_is_no_one_wood_is_refused_and_nothing_is_stored(book, page, said, refusal, code):
    with pytest.raises(refusal) as refused, page() as p:
        fell(p, species=said, on=ON)
    assert refused.value.code == code
    assert said in refused.value.message
    assert rows(book, "piece") == rows(book, "entry") == []


def test_a_wood_that_only_the_books_own_figures_know_is_kept_as_said(book, page):
    own = {"property": "shrinkage_radial_pct", "value": 4.0, "unit": "%", "source": "my own block"}
    with page() as p:
        p.put(SpeciesValue(said="Grandad's plumcot", on_last=ON.last, **own))
        tree = fell(p, species="grandad's PLUMCOT", on=ON)
    assert tree.wood.said == tree.wood.name == "grandad's PLUMCOT"
    assert piece(book, tree.mark).wood.name == "grandad's PLUMCOT"


@pytest.mark.parametrize(("field", "word"), [("how", "chopped"), ("sure", "rather")])
def test_words_that_are_not_known_are_refused_with_those_that_are(page, field, word):
    with pytest.raises(Unclear, match=word) as refused, page() as p:
        fell(p, **{"species": "", "on": ON, field: word})
    assert "unknown" in refused.value.hint


def test_a_piece_from_elsewhere(book, page):
    with page("add") as p:
        added = add(
            p,
            kind="blank",
            species="Prunus serotina",
            on=day("before 2020"),
            length=mm("13 in"),
            width=mm("2 1/8 in"),
            thickness=mm(50),
            part="sap",
            rings=raw(75, "quarter"),
            tag="swap",
            place="Shed / rack 2",
            origin="swapped at the club",
            surface="planed",
            bark_on=False,
        )
    assert (added.mark, added.kind, added.place) == ("1B", "blank", "Shed / rack 2")
    one = piece(book, "swap")
    assert (one.size.length_mm, one.size.width_mm, one.size.thickness_mm) == pytest.approx((330.2, 53.975, 50))
    assert (one.size.surface, one.look.part, one.look.ring_deg) == ("planed", "sap", 75)
    assert (one.place, one.made.origin, one.made.bark_on) == ("Shed / rack 2", "swapped at the club", False)
    assert one.wood.scientific == "Prunus serotina"
    assert [row["name"] for row in rows(book, "place")] == ["Shed", "Shed / rack 2"]
    (size,) = rows(book, "size")
    assert size["typed"] == {"length_mm": "13 in", "width_mm": "2 1/8 in", "thickness_mm": "50 mm"}
    assert rows(book, "look")[0]["typed"] == {"ring_deg": "quarter"}


def test_a_place_is_found_again_however_it_is_spaced(book, page):
    with page() as p:
        add(p, kind="log", on=ON, place="shed/rack 2")
        add(p, kind="log", on=ON, place="SHED /  Rack 2")
    assert [row["name"] for row in rows(book, "place")] == ["shed", "shed / rack 2"]


@pytest.mark.parametrize("value", [float("nan"), float("inf"), float("-inf"), -330, 0, 1e9])
@pytest.mark.parametrize("field", ["length", "width", "thickness", "dia_butt", "dia_top"])
def test_sizes_that_cannot_be_are_refused(book, page, field, value):
    with pytest.raises(Impossible, match="as I typed it"), page() as p:
        add(p, kind="log", on=ON, **{field: raw(value, "as I typed it")})
    assert rows(book, "piece") == []


@pytest.mark.parametrize("value", [float("nan"), -1, 91])
def test_a_ring_angle_lies_between_flat_and_quarter(page, value):
    with pytest.raises(Impossible, match="ring angle"), page() as p:
        add(p, kind="blank", on=ON, rings=raw(value))


@pytest.mark.parametrize(
    ("words", "hint"),
    [
        ({"kind": "tree"}, "rick fell"),
        ({"kind": "block"}, "rick glue"),
        ({"kind": "plank"}, "billet"),
        ({"kind": ""}, "billet"),
        ({"kind": "log", "role": "pet"}, "sample"),
        ({"kind": "log", "surface": "shiny"}, "rough"),
        ({"kind": "log", "part": "middle"}, "heart"),
    ],
)
def test_what_cannot_be_added_is_refused_with_a_way_out(page, words, hint):
    with pytest.raises(Unclear) as refused, page() as p:
        add(p, on=ON, **words)
    assert hint in refused.value.hint


def test_t10_a_mark_is_never_given_twice(book, page):
    with page() as p:
        first = add(p, kind="log", on=ON)
    with pytest.raises(Impossible), page() as p:
        add(p, kind="log", on=ON, length=raw(-1))
    with page(dry_run=True) as p:
        tried = add(p, kind="log", on=ON)
    with page() as p:
        second = add(p, kind="log", on=ON)
        tree = fell(p, species="", on=ON)
    assert (first.mark, tried.mark, second.mark, tree.mark) == ("1B", "2C", "2C", "T1B")
    assert [row["number"] for row in rows(book, "piece")] == [1, 2, 1]


@pytest.mark.parametrize("again", ["Plum 3", "plum 3", "  PLUM   3 "])
def test_t10_a_tag_in_use_is_refused(book, page, again):
    with page() as p:
        add(p, kind="log", on=ON, tag="Plum 3")
    with pytest.raises(Unclear, match="on 1B already"), page() as p:
        add(p, kind="log", on=ON, tag=again)
    assert len(rows(book, "piece")) == 1


@pytest.mark.parametrize("tags", [["east", "EAST"], ["east", "east"]])
def test_t10_one_tag_is_not_put_on_two_new_pieces(page, tags):
    with page() as p:
        log = add(p, kind="log", on=ON, length=mm(1000)).mark
    with pytest.raises(Unclear, match="wanted for two pieces"), page() as p:
        cut(p, piece=log, lengths=[mm(400), mm(400)], on=ON, tags=tags)


def test_t10_a_tag_that_reads_as_the_mark_of_a_piece_is_refused(page):
    with page() as p:
        add(p, kind="log", on=ON)
    with pytest.raises(Unclear, match="reads as the mark"), page() as p:
        add(p, kind="log", on=ON, tag="1b")


def test_a_tag_that_a_later_mark_reads_the_same_as_is_told(page):
    with page() as p:
        add(p, kind="log", on=ON, tag="2C")
    with page() as p:
        done = add(p, kind="log", on=ON, tag="other")
    assert done.mark == "2C"
    assert any("rick book tag" in warning for warning in done.warnings)


def test_a_tag_is_one_line(page):
    with pytest.raises(Unclear, match="one line"), page() as p:
        add(p, kind="log", on=ON, tag="plum\nthree")


def test_a_tag_of_a_piece_that_was_cut_up_is_free_again(book, page):
    with page() as p:
        log = add(p, kind="log", on=ON, length=mm(1000), tag="K-7")
        done = cut(p, piece="K-7", lengths=[mm(400), mm(500)], on=ON, tags=["K-7", "K-8"])
    assert [child.tag for child in done.children] == ["K-7", "K-8"]
    assert any("K-7" in warning and log.mark in warning for warning in done.warnings)
    assert piece(book, "K-7").id == done.children[0].id
    assert piece(book, log.mark).tag == ""


def test_a_tag_can_be_changed_and_taken_off(book, page):
    with page() as p:
        add(p, kind="log", on=ON, tag="old")
        other = add(p, kind="log", on=ON)
    with page() as p:
        changed = put_tag(p, piece="old", text="new", on=day("2026-05-10"))
        freed = put_tag(p, piece=other.mark, text="old", on=day("2026-05-10"))
    assert (changed.was, changed.tag, freed.tag) == ("old", "new", "old")
    with page() as p:
        assert put_tag(p, piece="new", text="NEW", on=day("2026-05-11")).tag == "NEW"
        assert put_tag(p, piece="NEW", text="", on=day("2026-05-12")).was == "NEW"
    assert piece(book, "1B").tag == ""
    assert [(row["table_name"], row["before"], row["after"]) for row in rows(book, "change")] == [
        ("tag", {"until": None}, {"until": "2026-05-10"}),
        ("tag", {"until": None}, {"until": "2026-05-11"}),
        ("tag", {"until": None}, {"until": "2026-05-12"}),
    ]


def test_the_tag_of_another_piece_cannot_be_taken(book, page):
    with page() as p:
        add(p, kind="log", on=ON, tag="one")
        add(p, kind="log", on=ON, tag="two")
    with pytest.raises(Unclear, match="on 2C already"), page() as p:
        put_tag(p, piece="one", text="two", on=ON)
    assert piece(book, "one").mark == "1B"


def test_what_wood_it_is_goes_to_the_tree_and_holds_for_all_its_pieces(book, page):
    with page() as p:
        tree = fell(p, **STORM)
        logs = cut(p, piece=tree.mark, lengths=[mm(500), mm(500)], on=ON).children
    with page() as p:
        said = opinion(p, piece=logs[1].mark, species="Prunus avium", on=day("2026-05-20"), sure="guess", by_whom="me")
    assert (said.mark, said.was, said.pieces) == (tree.mark, "black cherry", 2)
    assert tree.mark in said.warnings[0]
    for one in (tree, *logs):
        assert piece(book, one.mark).wood.scientific == "Prunus avium"
    assert [row["species_key"] for row in rows(book, "opinion")] == ["prunus-serotina", "prunus-avium"]


def test_a_wood_can_become_unknown_again(book, page):
    with page() as p:
        tree = fell(p, **STORM)
        opinion(p, piece=tree.mark, species="unknown", on=ON)
    assert piece(book, tree.mark).wood.scientific == "unknown"
