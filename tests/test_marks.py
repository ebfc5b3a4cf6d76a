"""Marks: no slip of the pen or the eye may lead to another piece."""

from contextlib import suppress

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from stock.errors import Impossible, StockError, Unclear, Unknown
from stock.marks import ALPHABET, Mark, exact, mark, number_only, parse, ranges, read

NUMBERS = st.integers(1, 999_999_999)
SERIES = st.sampled_from(["", "T", "B"])


@pytest.mark.parametrize(
    ("number", "series", "written"), [(214, "", "214H"), (12, "T", "T12N"), (7, "B", "B7H"), (253, "", "253A")]
)
def test_marks_as_they_are_written(number, series, written):
    assert mark(number, series) == written
    assert exact(written) == parse(written) == Mark(series, number)


def test_the_check_letters_leave_out_those_that_look_like_digits_or_each_other():
    assert len(set(ALPHABET)) == 23
    assert not set("IOU") & set(ALPHABET)


@given(NUMBERS, SERIES)
def test_what_is_written_is_read_back(number, series):
    written = mark(number, series)
    assert exact(written) == parse(written) == Mark(series, number)
    assert parse(f" {written.lower()} ") == Mark(series, number)
    if not series:
        assert read(written) == number


@given(NUMBERS)
def test_letters_that_look_like_digits_are_forgiven_in_the_number(number):
    digits = str(number)
    scrawled = digits[0] + digits[1:].translate(str.maketrans("01528", "OISZB"))
    assert parse(scrawled + mark(number)[-1]) == Mark("", number)
    assert parse(scrawled.lower() + mark(number)[-1]) == Mark("", number)


def slips(number: int):
    """Every number that one misread digit or one swap of unequal neighbours makes of this one."""
    digits = str(number)
    for at, digit in enumerate(digits):
        for other in "0123456789":
            if other != digit:
                yield int(digits[:at] + other + digits[at + 1 :])
        if at and digits[at - 1] != digit:
            yield int(digits[: at - 1] + digit + digits[at - 1] + digits[at + 1 :])


def test_every_single_slip_up_to_20000_changes_the_letter():
    letters = ["", *(mark(number)[-1] for number in range(1, 100_000))]
    tried = 0
    for number in range(1, 20_001):
        for slip in slips(number):
            tried += 1
            assert letters[slip] != letters[number], f"{slip} would be taken for {number}"
    assert tried > 800_000


@given(NUMBERS, SERIES, st.data())
def test_a_slip_is_refused_and_the_right_mark_of_what_was_typed_is_named(number, series, data):
    written = mark(number, series)
    slip = data.draw(st.sampled_from(list(slips(number))))
    typed = f"{series}{slip}{written[-1]}"
    assert exact(typed) is None
    with pytest.raises(StockError) as refusal:
        parse(typed)
    if slip:
        assert isinstance(refusal.value, Unknown)
        assert refusal.value.code == "unknown-piece"
        assert refusal.value.piece == mark(slip, series)


@given(NUMBERS, SERIES, st.data())
def test_any_character_in_place_of_a_digit_or_the_letter_never_gives_another_mark(number, series, data):
    written = mark(number, series)
    at = data.draw(st.integers(len(series), len(written) - 1))
    other = data.draw(st.characters(codec="ascii"))
    typed = written[:at] + other + written[at + 1 :]
    with suppress(StockError):
        assert parse(typed) == Mark(series, number)


@given(NUMBERS, SERIES, st.data())
def test_swapped_characters_never_give_another_mark(number, series, data):
    written = mark(number, series)
    at = data.draw(st.integers(0, len(written) - 2))
    assume(written[at] != written[at + 1])
    typed = written[:at] + written[at + 1] + written[at] + written[at + 2 :]
    with pytest.raises(StockError):
        parse(typed)


def test_a_wrong_letter_names_the_right_one():
    with pytest.raises(Unknown) as refusal:
        parse("214C")
    assert refusal.value.message == "no piece 214C; the mark for 214 is 214H"
    with pytest.raises(Unknown, match="no tree T12C; the mark for T12 is T12N"):
        parse("T12C")


def test_a_b_in_front_is_the_series_and_an_8_only_behind_a_digit():
    assert parse("B7H") == Mark("B", 7)
    assert parse("7BK") == Mark("", 78)
    assert mark(87) == "87V"
    with pytest.raises(Unknown, match="no block B7V"):
        parse("B7V")


@pytest.mark.parametrize(
    "text",
    [
        "",
        " ",
        "214",
        "H",
        "SOB",
        "BILL",
        "K-7b",
        "0214H",
        "214HH",
        "1234567890H",
        "２14H",
        "214-H",
        "214 H",
        "T 12N",
        "T",
        "\x1b214H",
    ],
)
def test_what_is_no_mark_is_refused_with_an_example(text):
    with pytest.raises(Unclear) as refusal:
        parse(text)
    assert "214H" in refusal.value.hint
    assert refusal.value.message.isprintable()
    assert exact(text) is None


@pytest.mark.parametrize("text", ["214h", " 214H", "214H\n", "2I4H", "214C", "0214H", "O14H", "T214", "21４H"])
def test_the_exact_form_forgives_nothing(text):
    assert exact(text) is None


@pytest.mark.parametrize(("text", "kind"), [("T12N", "tree"), ("b7h", "block")])
def test_a_tree_or_a_block_is_not_read_as_a_piece(text, kind):
    with pytest.raises(Unclear, match=f"is a {kind}; a piece is wanted"):
        read(text)


@pytest.mark.parametrize(("number", "series"), [(0, ""), (-5, ""), (7, "X")])
def test_no_mark_for_what_cannot_be(number, series):
    with pytest.raises(Impossible):
        mark(number, series)


@pytest.mark.parametrize(
    ("text", "number"),
    [("214", 214), (" 7 ", 7), ("0", None), ("007", None), ("214H", None), ("-3", None), ("2.0", None), ("٣", None)],
)
def test_a_number_from_the_number_pad(text, number):
    assert number_only(text) == number


@pytest.mark.parametrize("text", ["214-216", "214H-216K", "214h - 216", "214–216K", "2I4H-216"])
def test_ranges_include_both_ends(text):
    assert ranges(text) == ["214H", "215J", "216K"]


def test_ranges_of_trees_and_of_one():
    assert ranges("T12N-14") == ["T12N", "T13P", "T14Q"]
    assert ranges("5-5") == ["5F"]
    assert len(ranges("1-1000")) == 1000


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("214C-253A", Unknown),
        ("214-253B", Unknown),
        ("253-214", Unclear),
        ("1-1001", Unclear),
        ("T12N-B7H", Unclear),
        ("214", Unclear),
        ("K-7", Unclear),
        ("1-2-3", Unclear),
        ("2021-05", Unclear),
        ("-5", Unclear),
        ("5-", Unclear),
        ("0-5", Unclear),
    ],
)
def test_ranges_that_are_refused(text, kind):
    with pytest.raises(kind):
        ranges(text)


@given(st.integers(1, 50_000), st.integers(0, 999), SERIES)
def test_a_range_is_its_marks_in_order(first, more, series):
    marks = ranges(f"{mark(first, series)}-{mark(first + more, series)}")
    assert [exact(each) for each in marks] == [Mark(series, first + n) for n in range(more + 1)]


@given(st.text(alphabet="0123456789TBHOISLZ -–abx٣\n", max_size=12))
def test_any_text_is_read_or_refused_in_words(text):
    for reader in (parse, read, ranges):
        refusal = None
        try:
            reader(text)
        except StockError as raised:
            refusal = raised
        assert refusal is None or refusal.message.isprintable()
