"""What is asked of the future, and from what it is learnt: `stock.survey.futures`, `learning`, `dryings`, `targets`."""

from datetime import date, timedelta
from pathlib import Path

import pytest
from dried_wood import ROUNDS, TODAY, book, notebook

from stock.book import opening
from stock.book.facts import facts
from stock.book.naming import Names
from stock.errors import Impossible, StockError
from stock.survey import futures as futures_file
from stock.survey import learning
from stock.survey.courses import Reckoning
from stock.survey.dryings import air_of_course, course_of, place_on
from stock.survey.futures import Question, futures
from stock.survey.targets import target_of
from stock.wood.drying import NEW_USER, AboveAir, Below
from stock.wood.drying_rates import Learned

OLD, NEW = date(2024, 1, 10), date(2026, 1, 10)
TREES = 6


@pytest.fixture(scope="module")
def shop(tmp_path_factory) -> Path:
    """Six trees of slow finished squares, and a young one."""
    folder = tmp_path_factory.mktemp("shop")
    old = [(f"old {i}", OLD + timedelta(days=7 * i), ROUNDS, (150, 170, 200)) for i in range(TREES)]
    notes = notebook(folder / "notes", [*old, ("new", NEW, ROUNDS[:4], (160,))])
    with (notes / "trees.csv").open("a") as file:
        file.writelines(f"unweighed {i},white ash,{OLD}\n" for i in range(3))
    return book(folder, notes)


def known(book: Path, *tags: str, on: date = TODAY) -> tuple[Reckoning, list[int]]:
    """What is known of some pieces on a day, with those to learn from; of the whole book if none are named."""
    with opening.reading(book) as connection:
        ids = [Names(connection).piece(tag).id for tag in tags]
        return Reckoning(facts(connection, on, [*ids, *learning.ids_to_read(connection, on)] if ids else None)), ids


def test_few_families_teach_what_the_whole_book_does(shop):
    part, _ = known(shop, "new-1")
    whole, _ = known(shop)
    assert len(part.facts.pieces) <= len(whole.facts.pieces) - 3  # the trees of which nothing was weighed
    assert learning.finished(part) == learning.finished(whole)
    assert learning.learned(part) == learning.learned(whole)
    assert learning.learned(part).shop.pieces >= 10


def test_slow_wood_teaches_that_wood_is_slow(shop):
    """The squares take 150 to 200 days, a new user's belief is 85."""
    reckoning, _ = known(shop, "new-1")
    shop_belief = learning.learned(reckoning).shop
    assert shop_belief.ln_tau > NEW_USER.ln_tau + 0.15
    taught, untaught = (
        futures(reckoning, ids, Question(Below(18.0)), learned=belief)[ids[0]]
        for ids in [known(shop, "new-1")[1]]
        for belief in (None, Learned())
    )
    assert taught.taught_by > 0 == untaught.taught_by
    assert taught.target.likely > untaught.target.likely


def test_nothing_later_than_the_day_is_learnt(shop):
    """On each day exactly those count that had come to rest by then; none before the first had."""
    counts = []
    for on in (OLD + timedelta(days=100), OLD + timedelta(days=330), OLD + timedelta(days=460), TODAY):
        reckoning, _ = known(shop, on=on)
        assert all(w.on_last <= on for some in reckoning.facts.weighings.values() for w in some)
        counts.append(len(learning.finished(reckoning)))
    assert counts[0] == 0
    assert counts == sorted(counts)
    assert counts[-1] == 3 * TREES


def test_a_coated_or_a_planed_piece_teaches_nothing(tmp_path):
    notes = notebook(tmp_path / "notes", [("one", OLD, ROUNDS, (60, 70))])
    (notes / "seals.csv").write_text(f"piece,on,coat,where\none-1,{OLD},wax,all\n")
    reckoning, _ = known(book(tmp_path, notes))
    taught = [i for i in learning.finished(reckoning) if learning._is_whole(course_of(reckoning, reckoning.pieces[i]))]
    assert [reckoning.pieces[i].tag for i in taught] == ["one-2"]


def test_a_piece_still_drying_or_weighed_seldom_is_not_finished(tmp_path):
    groups = [
        ("young", OLD, ROUNDS[:6], (90,)),
        ("seldom", OLD, (0, 100, 250, 300, 440), (60,)),
        ("long ago dry", OLD, (0, 50, 100, 250, 300, 440), (2,)),
    ]
    reckoning, _ = known(book(tmp_path, notebook(tmp_path / "notes", groups)))
    assert [reckoning.pieces[i].tag for i in learning.finished(reckoning)] == ["long ago dry-1"]


def test_not_more_than_some_of_a_tree_are_learnt_from():
    days = [OLD + timedelta(days=20 * i) for i in range(8)]
    course = list(zip(days, (700, 620, 560, 520, 500, 498, 497, 497), strict=True))
    weighed = dict.fromkeys(range(200), course)
    roots = {piece: piece // 50 for piece in weighed}
    chosen = learning._chosen(weighed, roots)
    assert len(chosen) == 4 * learning.OF_A_TREE
    assert chosen == learning._chosen({i: weighed[i] for i in chosen}, roots)
    assert len(learning._chosen(weighed, {piece: piece for piece in weighed})) == learning.TREES


def test_the_answers_stand_in_the_order_of_the_question(shop):
    reckoning, ids = known(shop, "new-1", "old 1-1", "old 0-2")
    assert list(futures(reckoning, ids)) == ids
    assert list(futures(reckoning, ids[::-1])) == ids[::-1]


def test_the_band_and_the_chance_are_of_the_same_forecast(shop):
    reckoning, (piece,) = known(shop, "new-1")
    reckoning.target = target_of({}, "15")
    by = date(2027, 1, 1)
    (told,) = futures(reckoning, [piece], Question(by=by)).values()
    assert (told.target.mc_pct, told.enough.mc_pct) == (15.0, 17.0)
    assert told.enough.likely < told.target.likely
    assert told.target.by < told.enough.by
    (air,) = futures(reckoning, [piece], Question(AboveAir(3.0), by=by)).values()
    assert air.enough is None
    assert air.target.mc_pct == pytest.approx(16.3, abs=0.3)


def test_a_curve_covers_the_weighings_and_all_that_is_looked_ahead(shop):
    reckoning, (piece,) = known(shop, "new-1")
    (told,) = futures(reckoning, [piece], Question(curve=True)).values()
    days = [point.day for point in told.forecast.curve]
    course = course_of(reckoning, reckoning.pieces[piece])
    assert days == sorted(set(days))
    assert {min(course.days), max(course.days)} <= set(days)
    assert days[-1] - max(course.days) > 1200


def test_a_thought_move_changes_the_air_from_the_day_of_asking(shop):
    reckoning, (piece,) = known(shop, "new-1")
    course = course_of(reckoning, reckoning.pieces[piece])
    there = next(p.id for p in reckoning.facts.places.values() if p.name == "shop")
    air, assumed = air_of_course(reckoning, piece, course, there)
    by_day = dict(zip(air.days, air.emc_pct, strict=True))
    asked = TODAY.toordinal()
    assert assumed == ""
    assert {round(emc, 1) for day, emc in by_day.items() if day < asked} == {round(by_day[min(by_day)], 1)}
    assert max(emc for day, emc in by_day.items() if day >= asked) < 8.5


def test_a_piece_never_moved_lies_where_its_parent_does(tmp_path):
    notes = notebook(tmp_path / "notes", [("one", OLD, ROUNDS, (60,))])
    pieces = (notes / "pieces.csv").read_text().splitlines()
    made = f"bit,one-1,offcut,{TODAY - timedelta(days=30)},50,50,100,"
    (notes / "pieces.csv").write_text("\n".join([*pieces, made]) + "\n")
    with (notes / "weighings.csv").open("a") as file:
        file.write(f"bit,{TODAY - timedelta(days=20)},150\n")
    reckoning, (bit,) = known(book(tmp_path, notes), "bit")
    _, assumed = air_of_course(reckoning, bit, course_of(reckoning, reckoning.pieces[bit]))
    assert assumed == ""


def test_the_place_of_a_day_is_the_one_moved_to_last():
    stays = [(1, 7), (100, 8), (200, None)]
    assert [place_on(stays, day) for day in (0, 1, 99, 100, 199, 200, 999)] == [7, 7, 7, 8, 8, None, None]


@pytest.mark.parametrize(("text", "mc_pct"), [("8", 8), ("20%", 20), ("12.5 %", 12.5), ("damp coast", 11), ("60", 60)])
def test_targets_that_wood_is_dried_to(text, mc_pct):
    assert target_of({}, text).mc_pct == mc_pct
    assert target_of({"target": text}).mc_pct == mc_pct


def test_a_room_is_a_target_by_its_air():
    # Wood Handbook FPL-GTR-282 (2021) Table 4-2: 21.1 degC, 45 % -> 8.5 %.
    assert target_of({}, "room 21.1 45").mc_pct == pytest.approx(8.5, abs=0.1)


@pytest.mark.parametrize(
    "text", ["0", "-8", "2.9", "61", "nan", "inf", "1e9", "room a b", "room 21", "room", "%", "8,5"]
)
def test_what_no_wood_is_dried_to_is_refused(text):
    with pytest.raises(StockError):
        target_of({}, text)


def test_a_room_is_read_in_the_unit_it_names_or_the_book_has():
    celsius = target_of({}, "room 20C 45%").mc_pct
    assert target_of({}, "room 68F 45%").mc_pct == celsius
    assert target_of({"unit.temp": "F"}, "room 68 45").mc_pct == celsius
    assert target_of({"unit.temp": "F", "target": "room 20 45"}).mc_pct == celsius  # kept in degC
    with pytest.raises(StockError) as refused:
        target_of({}, "room 68 45")
    assert refused.value.hint.endswith("room 68F 45%")
    assert target_of({}, refused.value.hint.split(": ")[1]).mc_pct == celsius


def test_it_is_said_when_the_edge_of_the_table_is_taken():
    assert "edge" in target_of({}, "room -10 60").words
    assert "edge" not in target_of({}, "room 21 45").words


@pytest.mark.parametrize("where", ["air_of_course", "forecast_many"])
def test_a_piece_whose_numbers_are_refused_leaves_the_others_their_dates(shop, monkeypatch, where):
    reckoning, ids = known(shop, "new-1", "old 1-1", "old 0-2")
    wrong = reckoning.pieces[ids[1]]
    side = course_of(reckoning, wrong).net_g
    true = getattr(futures_file, where)

    def refusing(*given, **named):
        odd = given[1] == ids[1] if where == "air_of_course" else any(one.course.net_g == side for one in given[0])
        if odd:
            raise Impossible("its air cannot be")
        return true(*given, **named)

    clean = futures(reckoning, ids)
    monkeypatch.setattr(futures_file, where, refusing)
    told = futures(reckoning, ids)
    assert (told[ids[1]].target, told[ids[1]].why) == (None, "its air cannot be")
    assert [told[i] for i in (ids[0], ids[2])] == [clean[i] for i in (ids[0], ids[2])]
