"""What people write as a measure: read exactly, or refused with examples (traps T2, T3; T14 keeps the text)."""

import subprocess
import sys
from fractions import Fraction

import pint
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from stock import measure, quantity, writing
from stock.errors import Impossible, Unclear
from stock.measure import angle, length, length_mm, lengths, mass, mass_g, percent, square, temp, temp_c, volume
from stock.typed import Typed

# Exact by definition: international yard and pound agreement of 1959.
INCH = Fraction("25.4")
POUND = Fraction("453.59237")
OUNCE = Fraction("28.349523125")

FRACTIONS = st.sampled_from([Fraction(n, d) for d in (2, 4, 8, 16, 32, 64) for n in range(1, d, 2)])


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        *(("54mm", 54), ("5.4 cm", 54), ("2.1m", 2100), ("1 m 20 cm", 1200)),
        *(("54 MM", 54), ("12,5 mm", 12.5), ("0.5 mm", 0.5), (".5 in", 12.7)),
        *(("2 1/8 in", 53.975), ('2-1/8"', 53.975), ("2 1/8 inches", 53.975), ("2 1/8in.", 53.975)),
        *(("2⅛ in", 53.975), ("2 ⅛″", 53.975), ("2-⅛”", 53.975), ("2 1⁄8 in", 53.975)),
        *(("17/8 in", 53.975), ("2.125 in", 53.975), ("½ in", 12.7), ("¼in", 6.35)),
        *(("¾ in", 19.05), ("⅜ in", 9.525), ("⅝ in", 15.875), ("⅞ in", 22.225)),
        *(("2''", 50.8), ("6 ft 2 in", 1879.6), ("6ft2in", 1879.6), ("6' 2\"", 1879.6)),
        *(("6’2”", 1879.6), ("6'-2\"", 1879.6), ("1ft3in", 381), ("6 ft", 1828.8)),
        *(("1 1/2 ft", 457.2), ("0 ft 6 in", 152.4)),
    ],
)
def test_lengths_as_people_write_them(text, mm):
    assert length_mm(text) == pytest.approx(mm, rel=1e-15)
    assert length(text).text == text


# Trap T3, the figures of 1 in = 25.4 mm.
@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("2 1/4 in", 57.15),
        ("2-1/4 in", 57.15),
        ("2.25 in", 57.15),
        ("2¼ in", 57.15),
        ("21/4 in", 133.35),
        ("2' 1/4\"", 615.95),
    ],
)
def test_t3_fractions(text, mm):
    assert length_mm(text) == mm


@pytest.mark.parametrize(
    ("text", "grams"),
    [
        ("1430 g", 1430),
        ("1.43kg", 1430),
        ("1,43 kg", 1430),
        ("1430 grams", 1430),
        ("1 kg 430 g", 1430),
        ("812G", 812),
        ("3 lb 2 1/4 oz", 3 * POUND + Fraction(9, 4) * OUNCE),
        ("3lb2¼oz", 3 * POUND + Fraction(9, 4) * OUNCE),
        ("3 lbs. 2.25 oz.", 3 * POUND + Fraction(9, 4) * OUNCE),
        ("1 lb 8.5 oz", Fraction("24.5") * OUNCE),
        ("1 lb-8 oz", 24 * OUNCE),
        ("0 lb 8.5 oz", Fraction("8.5") * OUNCE),
        ("1 1/2 lb", Fraction(3, 2) * POUND),
        ("1 pound 8 ounces", Fraction(3, 2) * POUND),
    ],
)
def test_weights_as_people_write_them(text, grams):
    assert mass_g(text) == float(grams)
    assert mass(text).text == text


def test_t2_pounds_and_ounces_are_not_decimal_pounds():
    # Rounded figures of the same definition: 1.5 and 1.8 times 453.59237 g.
    assert mass_g("1 lb 8 oz") == pytest.approx(680.4, abs=0.05)
    assert mass_g("1.8 lb") == pytest.approx(816.5, abs=0.05)
    assert mass_g("1 oz") == 28.349523125


@pytest.mark.parametrize(
    ("text", "celsius"),
    [
        *(("21 C", 21), ("21C", 21), ("21 degC", 21), ("21 °C", 21), ("21℃", 21), ("21 deg C", 21), ("-5 C", -5)),
        *(("−40 F", -40), ("212 F", 100), ("32°F", 0), ("14 degrees F", -10), ("0 C", 0), ("21,5 C", 21.5)),
    ],
)
def test_temperatures_as_people_write_them(text, celsius):
    # The fixed points of both scales: water freezes at 32 F, boils at 212 F; both agree at -40 (definition).
    assert temp_c(text) == celsius


def test_a_fahrenheit_room():
    assert temp_c("70 F") == pytest.approx(190 / 9, rel=1e-15)
    assert temp("70", "F") == Typed(temp_c("70 F"), "70", pytest.approx(5 / 18))
    assert temp("21°", "C").value == 21


@pytest.mark.parametrize(
    ("text", "value"), [("45 %", 45), ("45%", 45), ("45", 45), ("0", 0), ("12,5 percent", 12.5), ("180 %", 180)]
)
def test_percentages(text, value):
    assert percent(text).value == value


@pytest.mark.parametrize(
    ("text", "cm3"),
    [
        *(("37 cm3", 37), ("37 cm³", 37), ("37 cm^3", 37), ("37cc", 37), ("37 ml", 37), ("1.2 l", 1200)),
        *(("2.2 in3", 36.0515408), ("2.2 cu in", 36.0515408), ("2.2 cubic inches", 36.0515408), ("1 in³", 16.387064)),
    ],
)
def test_volumes(text, cm3):
    assert volume(text).value == cm3


# Common practice, no source: flatsawn 0 to 30 degrees, riftsawn 30 to 60, quartersawn 60 to 90.
@pytest.mark.parametrize(
    ("text", "deg", "plus_minus"),
    [
        *(("45", 45, 0.5), ("45 deg", 45, 0.5), ("45°", 45, 0.5), ("0", 0, 0.5)),
        *(("flat", 15, 15), ("Rift", 45, 15), ("quarter", 75, 15), ("quartersawn", 75, 15), ("flat-sawn", 15, 15)),
    ],
)
def test_ring_angles(text, deg, plus_minus):
    assert angle(text) == Typed(deg, text, plus_minus)


@pytest.mark.parametrize(
    ("text", "bare", "mm"),
    [("10", "mm", 10), ("10", "in", 254), ("2 1/8", "in", 53.975), ("6", "ft", 1828.8), ("2,1", "m", 2100)],
)
def test_a_bare_number_takes_the_books_unit(text, bare, mm):
    assert length(text, bare).value == mm


@pytest.mark.parametrize(
    ("text", "plus_minus"),
    [
        *(("812 g", 0.5), ("812.0 g", 0.05), ("1.43 kg", 5), ("1 kg 430 g", 0.5), ("8.5 oz", float(OUNCE / 20))),
        *(("1 5/8 oz", float(OUNCE / 16)), ("1 lb 8 oz", float(OUNCE / 2)), ("3 lb", float(POUND / 2))),
        *(("~500 g", 25), ("about 500 g", 25), ("approx. 500g", 25), ("ca 500 g", 25), ("~5 g", 0.5)),
    ],
)
def test_plus_minus_is_half_of_the_last_step_or_5_percent_of_an_estimate(text, plus_minus):
    assert mass(text).plus_minus == pytest.approx(plus_minus, rel=1e-15)


def test_plus_minus_of_other_measures():
    assert length("2 1/4 in").plus_minus == 3.175
    assert length("6 ft 2 1/16 in").plus_minus == 25.4 / 32
    assert temp("70 F").plus_minus == pytest.approx(5 / 18)
    assert temp("about 0 C").plus_minus == 2
    assert percent("45.5 %").plus_minus == 0.05


def test_no_distance_at_all_is_possible_where_it_is_allowed():
    assert length("0 in", zero=True).value == 0
    with pytest.raises(Impossible):
        length("-1 in", zero=True)


def mm_of(sizes):
    return [(size.value, size.text) for size in sizes]


def test_lists_of_lengths():
    three = [(660.4, "26in"), (660.4, "26in"), (558.8, "22in")]
    assert mm_of(lengths("26in+26in+22in")) == three
    assert mm_of(lengths("2x26in+22in")) == three
    assert mm_of(lengths(" 2 × 26in + 22in")) == three
    assert mm_of(lengths("2X26+22 in")) == [(660.4, "26 in"), (660.4, "26 in"), (558.8, "22 in")]
    assert mm_of(lengths("1 ft 2 in")) == [(355.6, "1 ft 2 in")]
    assert mm_of(lengths("330+2x280,5", "mm")) == [(330, "330"), (280.5, "280,5"), (280.5, "280,5")]


@pytest.mark.parametrize(
    ("text", "bare", "width", "thickness"),
    [
        ("51mm", None, (51, "51mm"), (51, "51mm")),
        ("2in", None, (50.8, "2in"), (50.8, "2in")),
        ("52x50mm", None, (52, "52 mm"), (50, "50mm")),
        ("52 x 50 mm", None, (52, "52 mm"), (50, "50 mm")),
        ("52 by 50 mm", None, (52, "52 mm"), (50, "50 mm")),
        ("2 x 1 7/8 in", None, (50.8, "2 in"), (47.625, "1 7/8 in")),
        ("2inx1 7/8in", None, (50.8, "2in"), (47.625, "1 7/8in")),
        ("2×1⅞″", None, (50.8, "2 in"), (47.625, "1⅞″")),
        ("2 in x 48 mm", None, (50.8, "2 in"), (48, "48 mm")),
        ("52x50", "mm", (52, "52"), (50, "50")),
        ("2 1/8", "in", (53.975, "2 1/8"), (53.975, "2 1/8")),
        ("2x2in", "mm", (50.8, "2 in"), (50.8, "2in")),
    ],
)
def test_squares(text, bare, width, thickness):
    assert mm_of(square(text, bare)) == [width, thickness]


# The other authority: the unit definitions that come with pint, written by others and not used by us.
@pytest.mark.parametrize(
    "unit", ["mm", "cm", "m", "inch", "foot", "g", "kg", "pound", "ounce", "cm3", "ml", "l", "in3", "C", "F"]
)
def test_units_agree_with_the_definitions_that_pint_brings_along(unit):
    theirs = pint.UnitRegistry()
    name = {"cm3": "cm**3", "in3": "inch**3", "l": "liter", "ml": "milliliter", "C": "degC", "F": "degF"}.get(
        unit, unit
    )
    reader = next(each for each in (length, mass, temp, volume) if unit in words_of(each))
    house = {length: "mm", mass: "g", temp: "degC", volume: "cm**3"}[reader]
    for number in (1, 2.5, 37.125):
        assert reader(f"{number:g} {unit}").value == pytest.approx(
            theirs.Quantity(number, name).to(house).magnitude, rel=1e-12
        )


def words_of(reader):
    by_reader = {length: quantity.LENGTH, mass: quantity.MASS, temp: quantity.TEMP, volume: quantity.VOLUME}
    return {*by_reader[reader].words, *by_reader[reader].units}


def test_every_word_and_factor_of_ours_is_in_the_unit_file():
    for each in (quantity.LENGTH, quantity.MASS, quantity.TEMP, quantity.VOLUME):
        for unit in each.units:
            assert quantity._registry().convert(Fraction(1), unit, unit) == 1
        for unit, factor in each.plain.items():
            assert quantity._registry().convert(Fraction(1), unit, each.house) == factor


def test_writing_uses_the_figures_of_the_unit_file():
    assert measure.length("1 in").value == writing.MM_PER_IN == float(INCH)
    assert measure.mass("1 oz").value == writing.G_PER_OZ == float(OUNCE)


def test_metric_measures_and_bare_numbers_do_without_pint():
    code = (
        "import sys; from stock.measure import *; from stock.writing import *\n"
        "mass('1430 g'); mass('812', 'g'); length('54mm'); temp('21 C'); percent('45 %'); square('52x50mm')\n"
        "volume('37 ml'); angle('flat'); both_lengths(54.0); both_masses(499.7); write_temp(21, 'F')\n"
        "assert 'pint' not in sys.modules\n"
        "length('2 in')\n"
        "assert 'pint' in sys.modules\n"
    )
    subprocess.run([sys.executable, "-c", code], check=True)


@given(
    st.integers(0, 500),
    FRACTIONS,
    st.sampled_from([" ", "-"]),
    st.sampled_from([" in", "in", '"', " inches", "″", " IN"]),
)
def test_every_mixed_fraction_of_an_inch_is_exact(whole, part, joint, unit):
    text = f"{whole}{joint}{part}{unit}" if whole else f"{part}{unit}"
    assert length_mm(text) == float((whole + part) * INCH)
    assert length(text).plus_minus == float(INCH / part.denominator / 2)


@given(st.integers(0, 5000), st.integers(0, 15), FRACTIONS, st.sampled_from([" ", ""]))
def test_every_sum_of_pounds_and_ounces_is_exact(pounds, ounces, part, gap):
    text = f"{pounds}{gap}lb{gap}{ounces} {part}{gap}oz"
    assert mass_g(text) == float(pounds * POUND + (ounces + part) * OUNCE)


@given(st.integers(0, 99_999), st.integers(0, 99), st.sampled_from(["g", "kg", "oz", "lb"]))
def test_a_decimal_comma_is_a_decimal_point(whole, hundredths, unit):
    assume(whole or hundredths)
    assume(whole < 4000 or unit == "g")
    comma, point = f"{whole},{hundredths:02} {unit}", f"{whole}.{hundredths:02} {unit}"
    assert mass(comma).value == mass(point).value
    assert mass(comma).plus_minus == mass(point).plus_minus
    with pytest.raises(Unclear):
        mass(f"{whole},{hundredths:03} {unit}")
