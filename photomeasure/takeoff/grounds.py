"""On what a verdict rests: the rules it used, and what to say if one is weak."""

from collections.abc import Iterable
from dataclasses import dataclass

from photomeasure.takeoff.model import Verdict
from photomeasure.takeoff.rules import Rulebook
from photomeasure.takeoff.rules.book import MEMORY, NO_SOURCE

FROM_MEMORY = (
    "A value used here was written down from memory: read the document before you rely "
    "on it."
)
CUSTOM = "A value used here is common practice without a published source."


@dataclass(frozen=True, slots=True)
class Grounds:
    """The rules behind one verdict.

    Attributes
    ----------
    rules : Rulebook
    keys : tuple of str
        Of the rules that were used, in the order of use.
    """

    rules: Rulebook
    keys: tuple[str, ...]

    @property
    def source(self) -> str:
        """Every source once, with its weakness in its own words."""
        sources = dict.fromkeys(self.rules.source(key) for key in self.keys)
        return "; ".join(sources) or "no rule was used"

    @property
    def hedge(self) -> str:
        """A sentence for a reader who must not take memory or custom for a rule.

        Empty if every value was read somewhere or stated in the job.
        """
        sources = [self.rules.source(key).lower() for key in self.keys]
        if any(MEMORY in source for source in sources):
            return FROM_MEMORY
        if any(source.startswith(NO_SOURCE) for source in sources):
            return CUSTOM
        return ""

    @property
    def once(self) -> tuple[str, ...]:
        """Each key once."""
        return tuple(dict.fromkeys(self.keys))


@dataclass(frozen=True, slots=True)
class Judgement:
    """Verdicts with the keys of the rules that they used."""

    verdicts: tuple[Verdict, ...]
    keys: tuple[str, ...] = ()


def joined(sentences: Iterable[str]) -> str:
    """Return sentences as one text, empty ones left out."""
    return " ".join(sentence for sentence in sentences if sentence)
