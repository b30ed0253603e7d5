"""Everything that papers are made from, and what all of them say alike."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, field

from photomeasure.papers import texts
from photomeasure.papers.content import Alert, Block, Paper, Picture, Sheet
from photomeasure.papers.wording import half_mm, written
from photomeasure.results import MeasuredElevation, MeasuredJob
from photomeasure.takeoff.model import Takeoff
from photomeasure.takeoff.pricing import Estimate

QUOTATION_KEY = "quotation"


@dataclass(frozen=True, slots=True, kw_only=True)
class Letterhead:
    """Who writes to whom; all of it may be empty.

    Attributes
    ----------
    firm, customer : tuple of str
        Lines.
    number : str
        Of the quotation or order.
    valid_days : int or None
        How long a quotation is open.
    """

    firm: tuple[str, ...] = ()
    customer: tuple[str, ...] = ()
    number: str = ""
    valid_days: int | None = None


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Dossier:
    """Everything that papers are made from.

    Attributes
    ----------
    takeoff : Takeoff
    estimate : Estimate
    date : date
        Printed on every paper: given, so that papers can be made again.
    measured : MeasuredJob or None
        For lengths and drawings.
    pictures : dict of str to Picture
        Annotated photo of each elevation that has one.
    letterhead : Letterhead
    """

    takeoff: Takeoff
    estimate: Estimate
    date: dt.date
    measured: MeasuredJob | None = None
    pictures: dict[str, Picture] = field(default_factory=dict)
    letterhead: Letterhead = Letterhead()

    @property
    def elevations(self) -> tuple[MeasuredElevation, ...]:
        """The measured elevations."""
        entries = self.measured.elevations if self.measured else ()
        return tuple(e for e in entries if isinstance(e, MeasuredElevation))

    @property
    def widest_mm(self) -> int | None:
        """Half the widest 95 % interval of the boards, or else of the measured lines.

        Rounded up; None without either.
        """
        boards = [piece.u_mm for piece in self.takeoff.pieces]
        lines = [line.u_mm for entry in self.elevations for line in entry.measured]
        spreads = boards or lines
        return half_mm(max(spreads)) if spreads else None

    @property
    def drawn(self) -> tuple[Picture, ...]:
        """Photos of the elevations that anything is cut for, in the job's order."""
        lines = [piece.line for piece in self.takeoff.pieces]
        lines += [shape.line for shape in self.takeoff.shapes]
        needed = {self.elevation_of(line) for line in lines}
        return tuple(p for name, p in self.pictures.items() if name in needed)

    @property
    def cautions(self) -> tuple[str, ...]:
        """Those of the take-off and of each elevation, each once."""
        doubts = (f"{e.name}: {text}" for e in self.elevations for text in e.cautions)
        return tuple(dict.fromkeys((*self.takeoff.cautions, *doubts)))

    @property
    def foot(self) -> str:
        """What stands below every page and drawing."""
        half = self.widest_mm
        return texts.FOOT_UNSTATED if half is None else texts.FOOT.format(half=half)

    def elevation_of(self, line: str) -> str:
        """Return the elevation of a line that is written ``elevation: line``."""
        names = [entry.name for entry in self.elevations]
        own = [name for name in names if line.startswith(f"{name}: ")]
        return max(own, key=len) if own else line.partition(": ")[0]

    def paper(self, key: str, title: str, blocks: Sequence[Block]) -> Paper:
        """Return a paper with what every paper says.

        Parameters
        ----------
        key, title : str
        blocks : sequence of Block

        Returns
        -------
        Paper
        """
        half = self.widest_mm
        terms = self.estimate.terms
        return Paper(
            key=key,
            title=title,
            head=self._head(key),
            firm=self.letterhead.firm,
            measured=texts.UNSTATED if half is None else texts.MEASURED.format(half=half),
            foot=self.foot,
            check=texts.CHECK,
            blocks=(*self._left_out(), *blocks),
            cautions=self.cautions,
            currency=terms.currency if terms else "",
            sheet=Sheet(self.takeoff.sheet),
        )

    def _head(self, key: str) -> tuple[tuple[str, str], ...]:
        own = self.letterhead
        rows = [(texts.JOB, self.takeoff.title), (texts.DATE, written(self.date))]
        rows.append((texts.NUMBER, own.number))
        if key == QUOTATION_KEY:
            rows.insert(0, (texts.CUSTOMER, "\n".join(own.customer)))
            if own.valid_days is not None:
                until = self.date + dt.timedelta(days=own.valid_days)
                rows.append((texts.VALID, written(until)))
        return tuple((label, text) for label, text in rows if text)

    def _left_out(self) -> tuple[Block, ...]:
        """Say what this paper lacks, before anything else."""
        said = [stop.reason for stop in self.takeoff.stops]
        refusals = self.measured.refusals() if self.measured else ()
        said += [
            texts.NOT_MEASURED.format(sentence=sentence)
            for sentence, _ in refusals
            if sentence not in said
        ]
        return (Alert(texts.NOT_INCLUDED, tuple(said)),) if said else ()
