"""Rules files: every value sourced, bad ones refused in one sentence, jobs may override."""

import pytest

from calibration.errors import InputError
from photomeasure.takeoff.rules import countries, load_rules, rules_from_text
from photomeasure.takeoff.rules.book import MEMORY, NO_SOURCE, STATED
from tests.photomeasure.run import is_one_sentence

HEAD = 'country = "Nowhere"\n'
GOOD = HEAD + '[a.b_mm]\nvalue = 5\nunit = "mm"\nsource = "common practice, no source"\n'


OF_A_COUNTRY = ("ventilation.", "rainwater.", "movement.")
"""Sections that follow a country's own codes and have rules of their own."""


def shared(rules):
    """Return the keys that every country must state."""
    return {key for key in rules.rules if not key.startswith(OF_A_COUNTRY)}


@pytest.mark.parametrize("country", countries())
def test_every_country_has_every_rule_with_a_source(country):
    """The second country proves that nothing British is built in."""
    rules, uk = load_rules(country), load_rules("uk")

    assert shared(rules) == shared(uk)
    assert len(countries()) >= 2
    for key, rule in rules.rules.items():
        assert rule.source, key
        vague = rule.source.startswith((NO_SOURCE, MEMORY))
        # Where a value can be looked up takes more than a word to say.
        assert vague or len(rule.source.split()) >= 3, key


@pytest.mark.parametrize("country", countries())
def test_numbers_say_their_unit_in_key_and_beside_the_value(country):
    """A key that ends in _mm is in millimetres, and so on."""
    ends = {"_mm": "mm", "_m3": "m3", "_kg_m3": "kg/m3", "_share": "share", "_year": "year"}
    for key, rule in load_rules(country).rules.items():
        for end, unit in ends.items():
            if key.endswith(end) and not (end == "_m3" and key.endswith("_kg_m3")):
                assert rule.unit == unit, key


BAD_FILES = {
    "no TOML": (HEAD + "[a", "is not TOML"),
    "no country": ("[a]\nvalue = 1\n", "country: is missing"),
    "loose value": (HEAD + "a = 1\n", "a: stands outside a rule"),
    "no source": (HEAD + '[a]\nvalue = 1\nunit = "mm"\n', "source: field required"),
    "no value": (HEAD + '[a]\nunit = "mm"\nsource = "x"\n', "value: field required"),
    "empty source": (GOOD.replace("common practice, no source", ""), "source: string"),
    "vague source": (GOOD.replace("common practice, no source", "known"), "says nothing"),
    "unknown unit": (GOOD.replace('"mm"', '"furlong"'), "'furlong' is not known"),
    "unknown word": (GOOD + "colour = 1\n", "colour: extra inputs"),
    "text as number": (GOOD.replace("value = 5", "value = 2020-01-01"), "value: "),
    "below zero": (GOOD.replace("value = 5", "value = -5"), "-5 must be above 0"),
    "zero": (GOOD.replace("value = 5", "value = 0"), "0 must be above 0"),
    "not finite": (GOOD.replace("value = 5", "value = nan"), "nan must be above 0"),
    "over its most": (GOOD + "most = 4\n", "5 must be above 0 and at most 4"),
    "ragged table": (GOOD.replace("= 5", "= [[1, 2], [3]]"), "list of unequal entries"),
    "mixed list": (GOOD.replace("= 5", "= [[1, 2], 3]"), "list of unequal entries"),
    "empty list": (GOOD.replace("= 5", "= []"), "list of unequal entries"),
    "not a choice": (
        GOOD.replace("value = 5", 'value = "x"') + 'choices = ["y"]\n',
        '"x" is not known',
    ),
}


@pytest.mark.parametrize("reason", BAD_FILES)
def test_a_bad_rules_file_is_one_sentence(reason):
    """It names the file, the rule and what to do."""
    text, words = BAD_FILES[reason]

    with pytest.raises(InputError) as caught:
        rules_from_text(text, "nowhere")

    assert words in str(caught.value)
    assert is_one_sentence(str(caught.value))
    assert str(caught.value).startswith("nowhere.toml")


def test_a_job_overrides_a_rule_and_the_source_says_so():
    """The published source no longer stands behind the number."""
    rules = load_rules("uk").overridden({"saw.kerf_mm": 4}, "takeoff.rules")

    assert rules.whole("saw.kerf_mm") == 4
    (used,) = rules.used(["saw.kerf_mm"])
    assert (used.value, used.source, used.overridden) == ("4", STATED, True)


BAD_OVERRIDES = {
    "unknown key": ({"saw.kerf": 3}, 'write "saw.kerf_mm"'),
    "text for a number": ({"saw.kerf_mm": "3"}, "3 is not a number"),
    "yes for a number": ({"saw.kerf_mm": True}, "yes is not a number"),
    "number for a yes": ({"trims.joint": 1}, "1 is not true or false"),
    "out of bounds": ({"saw.kerf_mm": 51}, "at least 0 and at most 50"),
    "zero centres": ({"fixings.fascia.centres_mm": 0}, "at least 100"),
    "one for many": ({"boards.fascia.widths_mm": 200}, "is not a list"),
    "unknown choice": ({"boards.barge.foot_cut": "round"}, "use plumb, level, square"),
}


@pytest.mark.parametrize("reason", BAD_OVERRIDES)
def test_bad_overrides_are_refused(reason):
    """They name the key and what is allowed."""
    stated, words = BAD_OVERRIDES[reason]

    with pytest.raises(InputError) as caught:
        load_rules("uk").overridden(stated, "takeoff.rules")

    assert words in str(caught.value)
    assert is_one_sentence(str(caught.value))


def test_reading_a_rule_as_what_it_is_not_is_refused():
    """A rules file of another make cannot be used by half."""
    rules = rules_from_text(
        GOOD + '[t]\nvalue = [[1, "a"]]\nunit = ""\nsource = "from memory"\n', "x"
    )

    assert rules.number("a.b_mm") == 5.0
    assert rules.table("t") == ((1, "a"),)
    for read in (rules.text, rules.yes, rules.numbers, rules.table):
        with pytest.raises(InputError, match="is not"):
            read("a.b_mm")
    with pytest.raises(InputError, match="is not there"):
        rules.number("missing")


def test_a_country_may_build_on_another():
    """Ireland's own law and figures stand; all else is as next door, sources included."""
    ireland, uk = load_rules("ireland"), load_rules("uk")
    own = {key for key in ireland.rules if ireland.rules[key] != uk.rules.get(key)}

    assert ireland.text("asbestos.law") != uk.text("asbestos.law")
    assert ireland.text("access.law") != uk.text("access.law")
    assert {key for key in own if not uk.has(key)} == {
        key for key in ireland.rules if key.startswith("ventilation.tgd_f_2009.")
    }
    assert not any("tgd" in key for key in uk.rules)
    assert ireland.rules["saw.kerf_mm"] == uk.rules["saw.kerf_mm"]


@pytest.mark.parametrize("base", ['"atlantis"', '"here"', "3"])
def test_a_base_that_is_not_there_is_refused(base):
    """Nor may a file build on itself."""
    with pytest.raises(InputError, match=r"here\.toml: base"):
        rules_from_text(GOOD.replace(HEAD, f"{HEAD}base = {base}\n"), "here")
