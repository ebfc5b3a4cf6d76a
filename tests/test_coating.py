"""Coats and treatments: what they weigh, and that a coat is never wood."""

import pytest
from found import piece, rows
from said import TODAY, day, g, mm, raw

from stock.book import opening
from stock.book.facts import facts
from stock.book.records import Oven, Section, Weighing
from stock.errors import Doubtful, Impossible, NotNow, Unclear
from stock.survey.courses import Reckoning
from stock.yard.coating import TREATMENTS, seal, treat
from stock.yard.felling import add, fell

MADE = day("2025-03-02")
ON = day("2025-03-02")
LATER = day("2026-03-02")


@pytest.fixture
def blank(page) -> str:
    with page("add") as p:
        return add(p, kind="blank", on=MADE, length=mm(330), width=mm(52), thickness=mm(51)).mark


def test_t1_a_coat_is_stored_with_the_weights_around_it(book, page, blank):
    with page("seal") as p:
        done = seal(p, pieces=[blank], on=ON, before=g(668), after=g(674), coats=2)
    assert (done.marks, done.coat_g, done.warnings) == ((blank,), 6, ())
    (operation,) = rows(book, "operation")
    assert [operation[c] for c in ("kind", "coat_kind", "coats", "coat_where", "coat_state", "ends_piece")] == [
        "coat on",
        "wax emulsion",
        2,
        "ends",
        "dry",
        False,
    ]
    assert [(w["role"], w["mass_g"], w["operation_id"]) for w in rows(book, "weighing")] == [
        ("before", 668, operation["id"]),
        ("after", 674, operation["id"]),
    ]
    assert piece(book, blank).coat.where == "ends"


def test_t1_a_coat_is_no_wood(book, page, blank):
    # Worked by hand: 668 g at 70 % is 392.9 g dry, 440 g is 12.0 %; 6 g of coat taken for wood would add 1.5 points.
    def moisture(coated: bool) -> float:
        with page() as p:
            one = add(p, kind="blank", on=MADE)
            section = p.put(Section(piece_id=one.id, wet_g=170, step_g=0.1, on_first=MADE.first, on_last=MADE.last))
            p.put(Oven(section_id=section, mass_g=100, step_g=0.1, final=True, on_last=MADE.last))
            p.put(Weighing(piece_id=one.id, mass_g=668, step_g=1, on_first=MADE.first, on_last=MADE.last))
            if coated:
                seal(p, pieces=[one.mark], on=day("2025-03-03"), before=g(668), after=g(674))
            p.put(Weighing(piece_id=one.id, mass_g=446 if coated else 440, step_g=1, on_last=LATER.last))
        with opening.reading(book) as connection:
            found = Reckoning(facts(connection, TODAY)).of(one.id).mc_pct
        assert found is not None
        return found

    assert moisture(coated=False) == pytest.approx(12.0, abs=0.1)
    assert moisture(coated=True) == pytest.approx(12.0, abs=0.3)


@pytest.mark.parametrize(("state", "kept"), [("wet", "wet"), ("dry", "dry")])
def test_t1_whether_the_coat_was_wet_when_weighed_is_kept(book, page, blank, state, kept):
    with page() as p:
        seal(p, pieces=[blank], on=ON, before=g(668), after=g(680), after_is=state)
    assert rows(book, "operation")[0]["coat_state"] == kept


def test_t1_wood_that_dried_while_its_coat_did_hides_the_coat(page, blank):
    with page() as p:
        done = seal(p, pieces=[blank], on=ON, before=g(668), after=g(661))
    assert done.coat_g == -7
    assert "lost 7 g while its coat dried" in done.warnings[0]


def test_t24_a_coat_taken_off_is_weighed_like_one_put_on(book, page, blank):
    with page() as p:
        seal(p, pieces=[blank], on=ON, before=g(668), after=g(674), where="all")
        done = seal(p, pieces=[blank], on=LATER, before=g(446), after=g(440.5), off=True)
    assert (done.off, done.coat_g, done.warnings) == (True, -5.5, ())
    assert [row["kind"] for row in rows(book, "operation")] == ["coat on", "coat off"]
    assert rows(book, "operation")[1]["coat_kind"] is None
    assert piece(book, blank).coat is None
    assert rows(book, "size")[-1]["operation_id"] is None


def test_a_coat_off_that_was_never_on_is_taken_with_a_word(page, blank):
    with page() as p:
        assert seal(p, pieces=[blank], on=ON, off=True).warnings == (f"no coat of {blank} was on record.",)


def test_many_pieces_are_sealed_at_once_each_once(book, page):
    with page() as p:
        marks = [add(p, kind="blank", on=MADE, tag=f"b{i}").mark for i in range(5)]
        done = seal(p, pieces=[*marks, "b2", marks[0].lower()], on=ON, coat="melted wax")
    assert done.marks == tuple(marks)
    assert [row["coat_kind"] for row in rows(book, "operation")] == ["melted wax"] * 5


@pytest.mark.parametrize(
    ("words", "refusal", "sentence"),
    [
        ({"pieces": []}, Unclear, "no piece"),
        ({"where": "top"}, Unclear, '"top"'),
        ({"after_is": "damp"}, Unclear, '"damp"'),
        ({"coats": 0}, Unclear, "0 coats"),
        ({"coats": 99}, Unclear, "99 coats"),
        ({"before": g(668), "after": g(660), "after_is": "wet"}, Impossible, "a wet coat takes no weight away"),
        ({"before": g(660), "after": g(668), "off": True}, Impossible, "taking a coat off adds no weight"),
        ({"before": raw(float("nan"), "odd")}, Impossible, '"odd" is not a number'),
        ({"after": raw(0, "odd")}, Impossible, '"odd" cannot be'),
        ({"on": day("2024")}, Doubtful, "would be coated in 2024"),
    ],
)
def test_a_coat_that_cannot_be_is_refused(book, page, blank, words, refusal, sentence):
    with pytest.raises(refusal) as refused, page() as p:
        seal(p, **{"pieces": [blank], "on": ON, **words})
    assert sentence in refused.value.message
    assert refused.value.hint
    assert rows(book, "operation") == []


def test_one_weight_is_not_of_several_pieces(page, blank):
    with page() as p:
        other = add(p, kind="blank", on=MADE).mark
        with pytest.raises(Unclear, match="one weight for 2 pieces"):
            seal(p, pieces=[blank, other], on=ON, before=g(668), after=g(674))
        tree = fell(p, species="", on=MADE).mark
        with pytest.raises(NotNow, match="is a tree"):
            seal(p, pieces=[tree], on=ON)
        with pytest.raises(NotNow, match="is a tree"):
            treat(p, piece=tree, on=ON, how="bark off")


@pytest.mark.parametrize(
    ("how", "kind", "loss"),
    [
        ("bark off", "bark off", None),
        ("soak", "soak", None),
        ("boil", "boil", None),
        ("steam", "steam", None),
        ("glycol", "treat", None),
        ("resin", "treat", None),
        ("spalt", "decay", 6),
    ],
)
def test_treatments(book, page, blank, how, kind, loss):
    gains = how in ("soak", "resin")
    with page("treat") as p:
        done = treat(p, piece=blank, on=ON, how=how, before=g(500), after=g(540 if gains else 470))
    assert (done.mark, done.how, done.loss_pct) == (blank, how, loss)
    (operation,) = rows(book, "operation")
    assert (operation["kind"], operation["treatment"], operation["loss_pct"]) == (kind, how, loss)
    assert operation["loss_sd_pct"] == (4 if how == "spalt" else None)
    assert [row["role"] for row in rows(book, "weighing")] == ["before", "after"]


def test_every_treatment_is_tested():
    assert set(TREATMENTS) == {"bark off", "soak", "boil", "steam", "glycol", "resin", "spalt"}


def test_the_loss_by_spalting_can_be_said(book, page, blank):
    with page() as p:
        assert treat(p, piece=blank, on=ON, how="spalt", loss=raw(11, "11 %")).loss_pct == 11
    assert rows(book, "operation")[0]["typed"] == {"loss_pct": "11 %"}


@pytest.mark.parametrize(
    ("words", "refusal", "sentence"),
    [
        ({"how": "fry"}, Unclear, '"fry"'),
        ({"how": ""}, Unclear, "treatment"),
        ({"how": "soak", "loss": raw(5)}, Unclear, "takes no dry wood away"),
        ({"how": "spalt", "loss": raw(101, "odd")}, Impossible, "odd"),
        ({"how": "spalt", "loss": raw(float("nan"), "odd")}, Impossible, "odd"),
        ({"how": "bark off", "before": g(400), "after": g(410)}, Impossible, "adds no weight"),
        ({"how": "soak", "before": g(400), "after": g(390)}, Impossible, "takes no weight away"),
    ],
)
def test_a_treatment_that_cannot_be_is_refused(book, page, blank, words, refusal, sentence):
    with pytest.raises(refusal) as refused, page() as p:
        treat(p, piece=blank, on=ON, **words)
    assert sentence in refused.value.message
    assert rows(book, "operation") == []
