"""Trade rules: one commented file a country, every value with its unit and source."""

from photomeasure.takeoff.rules.book import Rule, Rulebook, Value
from photomeasure.takeoff.rules.load import countries, load_rules, rules_from_text

__all__ = ["Rule", "Rulebook", "Value", "countries", "load_rules", "rules_from_text"]
