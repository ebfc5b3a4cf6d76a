"""The caution at the moment of the act. What is said rests on cautions.csv, which names the basis of each line."""

import re

import pytest

from stock.wood import cautions
from stock.wood.cautions import ACTS, effects, for_act, more
from stock.wood.effects import briefly, is_poisonous, reported
from stock.wood.species import find, woods
from stock.wood.values import table

BASES = (
    "common practice, no source",
    "practitioners' reports, no published source",
    "the sources listed with each reported effect",
)
SOURCES = {row[0] for row in table("sources.csv")}
EVERYTHING = {
    "how": "storm, firewood, used, paper, steam, alcohol, spalt, microwave, resin",
    "days_since_fall": 2,
    "mass_kg": 1234.0,
    "kinds": ["end check", "ring shake", "loose knot", "bark inclusion", "metal", "insect holes", "spalting"],
    "site": "orchard by the road",
    "indoors": True,
}


def said(act, **facts):
    return " ".join(for_act(act, **facts))


def test_every_line_has_a_condition_that_is_known_and_a_basis():
    for act, when, text, _, basis in table("cautions.csv"):
        assert act in (*ACTS, "any")
        assert when in cautions._WHEN
        assert basis in BASES or basis in SOURCES, text
    assert set(ACTS) == {row[0] for row in table("cautions.csv")} - {"any"}


@pytest.mark.parametrize("act", ACTS)
@pytest.mark.parametrize(("dry", "coat"), [(None, ""), (True, "wax")])
def test_every_caution_is_one_short_line_and_never_says_the_word(act, dry, coat):
    for wood in (None, *woods()):
        lines = for_act(act, wood=wood, dry=dry, coat=coat, **EVERYTHING)
        assert lines
        for line in lines:
            assert line.startswith("Caution: ")
            assert "\n" not in line
            assert len(line) <= 160, line
            assert not re.search("safe", line, re.IGNORECASE), line
            assert "{" not in line
            assert "  " not in line


def test_plain_cautions_fit_a_line_and_a_half():
    assert all(len("Caution: " + text) <= 110 for _, _, text, _, _ in table("cautions.csv"))


@pytest.mark.parametrize("act", ACTS)
def test_more_gives_the_grounds_and_defers(act):
    text = more(act)
    assert "[" in text
    assert text.endswith(
        "The maker's manual, local codes and licensed practice come first; nothing here judges a piece."
    )
    assert not re.search("safe", text, re.IGNORECASE)
    assert "{" not in text


def test_an_act_without_cautions_says_nothing():
    assert for_act("scales") == ()
    assert more("scales") == ""


# Decision of the trade: "under load" only while the tree has lain for no more than 30 days. Common practice, no source.
@pytest.mark.parametrize(("days", "loaded"), [(0, True), (30, True), (31, False), (None, False), (-1, False)])
def test_a_storm_tree_is_under_load_for_thirty_days(days, loaded):
    assert ("spring or roll" in said("fell", how="storm", days_since_fall=days)) == loaded


def test_a_felled_yard_tree():
    assert "detector" in said("fell", how="removal", days_since_fall=1)
    assert "spring or roll" not in said("fell", how="removal", days_since_fall=1)
    assert "lead paint" in said("fell", site="beside the old orchard")
    assert "lead paint" not in said("fell", site="churchyard wall")
    assert "poisonous" in said("fell", wood=find("common yew"))


@pytest.mark.parametrize(("mass_kg", "heavy"), [(None, False), (25.0, False), (25.1, True), (45.0, True)])
def test_lifting_over_25_kg_gives_the_mass(mass_kg, heavy):
    lines = for_act("weigh", mass_kg=mass_kg)
    assert bool(lines) == heavy
    if mass_kg == 45.0:
        assert "45 kg (99 lb)" in lines[0]  # 45 / 0.45359237 = 99.2


def test_sawing_round_and_sawing_dry():
    assert "never freehand" in said("saw")
    assert "never freehand" in said("saw", dry=False)
    assert "pinch" not in said("saw", dry=False)
    assert "pinch" in said("saw", dry=True)
    assert "jump through" in said("saw", kinds=["spalting"])


def test_the_oven():
    unknown, cherry = said("oven"), said("oven", wood=find("black cherry"))
    assert "kind is unknown" in unknown
    assert "kind is unknown" not in cherry
    for words in ("101-105 C", "attended", "not a food oven", "smoke alarm"):
        assert words in cherry
    assert "do not heat it" in said("oven", wood=find("oleander"))
    assert "wax drips" in said("oven", wood=find("black cherry"), coat="wax emulsion")
    assert "smoulder" in said("oven", wood=find("black cherry"), how="microwave")


@pytest.mark.parametrize(
    ("coat", "warned"), [("", True), ("melted wax", True), ("wax emulsion", False), ("paint", False)]
)
def test_melting_wax(coat, warned):
    assert ("over water" in said("seal", coat=coat)) == warned


@pytest.mark.parametrize(
    ("how", "words"), [("alcohol", "vapours burn"), ("steamed", "scald"), ("left to spalt", "respirator"), ("", "plan")]
)
def test_treatments(how, words):
    assert words in said("treat", how=how)


def test_defects_are_never_mended_by_words():
    text = said("defect", kinds=["ring shake", "sound knot", "end check"])
    assert "not sound (end check, ring shake)" in text
    assert said("defect", kinds=["blue stain"]) == ""
    assert "no-saw zone" in said("defect", kinds=["metal"])
    assert "56 C" in said("defect", kinds=["insect holes"])
    assert "ash with holes" in said("defect", wood=find("white ash"), kinds=["insect holes"])
    assert "with holes" not in said("defect", wood=find("black cherry"), kinds=["insect holes"])
    assert "respirator" in said("figure", kinds=["spalting"])
    assert said("figure", kinds=["curl"]) == ""


def test_glue_and_reverse():
    assert "cup centre" in said("glue", how="paper joint")
    assert "cup centre" not in said("glue", how="permanent")
    assert "face shield" in said("glue")
    assert "not sound (bark inclusion)" in said("glue", kinds=["bark inclusion"])
    assert "knife-edged" in said("reverse")


@pytest.mark.parametrize("name", ["white ash", "black walnut", "white oak", "American elm", "California laurel"])
def test_wood_under_quarantine_is_left_to_the_authority(name):
    assert "quarantine" in said("move-between-regions", wood=find(name))
    assert "plant-health authority" in said("move-between-regions", wood=find(name))


def test_other_wood_is_left_to_the_authority_too():
    for wood in (None, find("black cherry")):
        assert "plant-health authority" in said("move-between-regions", wood=wood)
        assert "quarantine" not in said("move-between-regions", wood=wood)


def test_leaving_the_book():
    assert "stove" in said("out", wood=find("oleander"), how="firewood")
    assert "stove" not in said("out", wood=find("black cherry"), how="firewood")
    assert "food" in said("out", wood=find("common yew"), how="given")
    assert "horses" in said("out", wood=find("black walnut"), how="used")
    assert "horses" not in said("out", wood=find("European walnut"), how="used")


# Chart in American Woodturner, June 1990 (fetched).
def test_reported_effects_name_source_site_and_degree():
    text = effects(find("baldcypress"))
    assert text == "reported: sensitiser, airways (+), dust; unlisted does not mean harmless"
    assert effects("Fagus") == effects(find("American beech"))
    assert reported(find("common yew"))[0].potency == "++++"
    assert {effect.source for wood in woods() for effect in reported(wood)} <= SOURCES


def test_a_genus_has_the_effects_of_its_members_and_a_species_not_those_of_its_sisters():
    assert "sensitiser" in effects(find("Juglans"))
    assert effects(find("European walnut")) == "no effect listed; unlisted does not mean harmless"
    assert briefly(find("European walnut")) == ""


def test_ebony_says_nothing_of_persimmon():
    assert reported(find("ebony"))
    assert not reported(find("common persimmon"))


def test_what_was_not_looked_up_says_so():
    assert "unverified" in effects(find("cherry laurel"))
    assert "unverified" not in effects(find("common yew"))


@pytest.mark.parametrize("name", ["common yew", "Pacific yew", "oleander", "common laburnum", "poison oak"])
def test_poisons(name):
    assert is_poisonous(find(name))


@pytest.mark.parametrize("name", ["black cherry", "sassafras", "black locust", "sugar maple", "common elder"])
def test_no_poison_without_a_strong_report(name):
    assert not is_poisonous(find(name))


@pytest.mark.parametrize(("name", "words"), [("black walnut", "sensitiser"), ("western redcedar", "sensitiser")])
def test_listed_dust_is_named_and_other_dust_is_not_forgotten(name, words):
    assert f"{name} dust: reported {words}" in said("saw", wood=find(name))
    assert "nasal cancer" in said("saw", wood=find("sugar maple"))
    assert "nasal cancer" in said("plane")


def test_every_listed_effect_belongs_to_a_wood_or_genus():
    known = {wood.key for wood in woods()} | {wood.genus for wood in woods()} | {"any", "hardwood", "spalted"}
    for row in table("effects.csv"):
        assert set(row[0].split()) <= known
        assert row[2]
