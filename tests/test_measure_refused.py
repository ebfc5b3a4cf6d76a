"""What is written and cannot be read as a measure, or cannot be: the reason, the text as typed, and a way out."""

import math

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from stock.errors import Impossible, StockError, Unclear
from stock.measure import angle, length, lengths, mass, percent, square, temp, volume
from stock.typed import Typed


@pytest.mark.parametrize("text", ["1-8.5", "1–8.5", " 1-8.5 "])
@pytest.mark.parametrize("bare", [None, "g", "lb"])
def test_t2_a_hyphen_between_pounds_and_ounces_is_asked_about(text, bare):
    with pytest.raises(Unclear) as refusal:
        mass(text, bare)
    assert refusal.value.message == f'"{text}": 1 lb 8.5 oz (695 g), or a slip for 1.85?'
    assert refusal.value.hint == "Write 1 lb 8.5 oz or 695 g."


@pytest.mark.parametrize("reader", [length, mass, temp, volume])
@pytest.mark.parametrize("text", ["10", "2 1/8", "0"])
def test_t3_a_bare_number_without_a_books_unit_is_refused_with_examples(reader, text):
    with pytest.raises(Unclear, match="has no unit") as refusal:
        reader(text)
    assert refusal.value.hint.startswith(f"Write {text} ")


def test_a_unit_that_the_book_cannot_have():
    with pytest.raises(Unclear, match="not a unit of weight") as refusal:
        mass("10", "furlong")
    assert refusal.value.hint == "Known: g, kg, oz, lb."


@pytest.mark.parametrize(
    ("reader", "text", "reason"),
    [
        (mass, "1,250", "a decimal comma or a thousands mark"),
        (mass, "1,250 g", "a decimal comma or a thousands mark"),
        (mass, "1,250.5 g", "only a single comma"),
        (mass, "1.250,5 g", "only a single comma"),
        (mass, "1,250,000 g", "only a single comma"),
        (mass, "1, g", "only a single comma"),
        (length, "1,1/2 in", "only a single comma"),
        (mass, "1 250 g", "two numbers"),
        (length, "1'250 mm", "do not add up"),
        (mass, "1_250 g", "cannot be read"),
        (mass, "O,5 kg", "a letter O for a zero"),
        (mass, "5OO g", "a letter O for a zero"),
        (mass, "l2 g", "a letter l for a one"),
        (mass, "2I4 g", "a letter I for a one"),
        (mass, "5 m", "is a length, not a weight"),
        (mass, "2 in", "is a length, not a weight"),
        (mass, "21 C", "is a temperature, not a weight"),
        (mass, "5 l", "is a volume, not a weight"),
        (mass, "45 %", "is a percentage, not a weight"),
        (length, "2 lb", "is a weight, not a length"),
        (temp, "2 ft", "is a length, not a temperature"),
        (volume, "2 in", "is a length, not a volume"),
        (mass, "8 fl oz", "fluid ounces"),
        (mass, "8 fluid ounces", "fluid ounces"),
        (mass, "5 furlong", 'no unit "furlong"; for a weight: g, kg, oz, lb'),
        (mass, "500 gr", 'no unit "gr"'),
        (mass, "500 Mg", 'no unit "mg"'),
        (temp, "294 K", 'no unit "k"'),
        (mass, "nan g", "not a number"),
        (mass, "inf", "not a number"),
        (mass, "-Infinity g", "not a number"),
        (mass, "1e3 g", "powers of ten"),
        (mass, "1e400", "powers of ten"),
        (mass, "1E-3 kg", "powers of ten"),
        (length, "10³ mm", "powers of ten"),
        (mass, "0x1F g", "hexadecimal"),
        (mass, "1 lb 18 oz", "18 oz is 1 lb or more"),
        (length, "6 ft 12 in", "12 in is 1 ft or more"),
        (mass, "1.5 lb 8 oz", "with a fraction"),
        (mass, "1 lb 8", "8 of what unit"),
        (length, "6' 2", "2 of what unit"),
        (mass, "8 oz 1 lb", "do not add up"),
        (mass, "1 lb 200 g", "do not add up"),
        (mass, "1kg-20g", "do not add up"),
        (mass, "1 lb 2 oz 3 oz", "too many numbers"),
        (length, "60-70 mm", "two numbers"),
        (length, "2-3 in", "two numbers"),
        (length, "6-2", "6 ft 2 in"),
        (length, "2 9/8 in", "9/8 after a whole number"),
        (length, "2 8/8 in", "8/8 after a whole number"),
        (length, "2 1/7 in", "not a fraction of any rule"),
        (length, "21/4 mm", "a fraction of more than one"),
        (mass, "1 kg 21/4 g", "a fraction of more than one"),
        (percent, "21/2", "a fraction of more than one"),
        (length, "021/4 in", "cannot be read"),
        (length, "1/02 in", "cannot be read"),
        (length, "1/0 in", "not a fraction of any rule"),
        (length, "2.5 1/2 in", "two numbers"),
        (length, "2.5/8 in", "cannot be read"),
        (length, "1/2/3 in", "cannot be read"),
        (length, "2 ft.5 in", "cannot be read"),
        (length, "½½ in", "two numbers"),
        (length, "2 x 3 in", 'no unit "x"'),
        (length, "2*3 in", "cannot be read"),
        (length, "1.2.3 mm", "cannot be read"),
        (mass, "", "nothing there"),
        (mass, " ", "nothing there"),
        (mass, "g", "cannot be read"),
        (mass, "٣ g", "cannot be read"),
        (mass, "12. g", "cannot be read"),
        (mass, "+5 g", "cannot be read"),
        (mass, "--5 g", "cannot be read"),
        (mass, "five g", "cannot be read"),
        (mass, "<NA>", "cannot be read"),
        (mass, "9" * 100 + " g", "too long"),
        (angle, "steep", "cannot be read"),
    ],
)
def test_what_is_unclear_is_refused_with_the_text_as_typed_and_a_way_out(reader, text, reason):
    with pytest.raises(Unclear) as refusal:
        reader(text)
    assert reason in refusal.value.message
    assert text[:40] in refusal.value.message
    assert refusal.value.hint.startswith("Write ")


@pytest.mark.parametrize(
    ("reader", "text", "reason"),
    [
        *((mass, "0 g", "zero"), (mass, "0 lb 0 oz", "zero"), (mass, "-5 g", "negative"), (mass, "−5 g", "negative")),
        *((length, "0 in", "zero"), (length, "-2 1/8 in", "negative"), (length, "300 m", "0 to 200000 mm")),
        *((mass, "10000 kg", "0 to 9999999 g"), (mass, "9" * 70 + " g", "0 to 9999999 g")),
        *((temp, "-300 C", "-60 to 300"), (temp, "700 F", "-60 to 300")),
        *((percent, "-1", "negative"), (percent, "1001 %", "0 to 1000")),
        *((volume, "0 ml", "zero"), (angle, "91", "0 to 90"), (angle, "-1", "negative")),
    ],
)
def test_what_cannot_be_is_refused(reader, text, reason):
    with pytest.raises(Impossible) as refusal:
        reader(text)
    assert reason in refusal.value.message
    assert f'"{text}"' in refusal.value.message


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("330,330", "a comma is a decimal sign only"),
        ("330, 280 mm", "a comma is a decimal sign only"),
        ("26+22", "has no unit"),
        ("26in+22", "give each its unit"),
        ("26+2ft+22in", "give each its unit"),
        ("26+2 ft 2 in", "give each its unit"),
        ("26in+", "a length is missing"),
        ("2x", "a length is missing"),
        ("", "a length is missing"),
        ("0x26in", "1 to 1000 lengths"),
        ("999x26in+2x26in", "1 to 1000 lengths"),
        ("26in x 2", "cannot be read"),
        ("abc+26", "cannot be read"),
        ("2lb+26in", "is a weight"),
    ],
)
def test_lists_that_are_refused(text, reason):
    with pytest.raises(Unclear) as refusal:
        lengths(text)
    assert reason in refusal.value.message
    assert refusal.value.hint.startswith("Write ")


@pytest.mark.parametrize(
    "text", ["52", "52x50", "52mm x 50", "2x2x10 in", "x", "52x", "x50mm", "2 lb x 2 in", "2x1 ft 2 in"]
)
def test_squares_that_are_refused(text):
    with pytest.raises(Unclear):
        square(text)


@given(st.text(alphabet="0123456789  .,/-+~x'\"°%½⅛″ginflbozmckdeFCO\n", max_size=14))
@example("1/ ½in")
@example("1½6in")
def test_any_text_is_read_as_a_possible_value_or_refused_in_words(text):
    for reader in (length, mass, temp, percent, volume, angle, lengths, square):
        read, refusal = (), None
        try:
            read = reader(text)
        except StockError as raised:
            refusal = raised
        assert refusal is None or (refusal.message.isprintable() and refusal.hint)
        for each in [read] if isinstance(read, Typed) else read:
            assert math.isfinite(each.value)
            assert 0 <= each.plus_minus < math.inf
            assert each.value >= 0 or reader is temp
