"""A paper as PDF: its blocks one below the other, what every page says around them."""

import io
from collections.abc import Sequence
from typing import Any, Final

from reportlab.lib.colors import HexColor
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import (
    BaseDocTemplate,
    CondPageBreak,
    Flowable,
    Frame,
    Image,
    KeepTogether,
    PageBreak,
    PageTemplate,
    Paragraph,
    Spacer,
)
from reportlab.platypus import Table as Grid

from photomeasure.papers import texts
from photomeasure.papers.content import (
    Alert,
    Block,
    Boards,
    Gallery,
    Paper,
    Part,
    Picture,
    Shapes,
    Signature,
    Table,
    Text,
)
from photomeasure.papers.pdf.boards import BoardBar, scale_of
from photomeasure.papers.pdf.fonts import BOLD, REGULAR, Letters
from photomeasure.papers.pdf.sketches import Pencil, ShapeCard
from photomeasure.papers.pdf.style import (
    ACCENT,
    ALERT_BACK,
    ALERT_EDGE,
    BOTTOM,
    FAINT,
    HEADING_BACK,
    INK,
    MM,
    RULE,
    SHEETS,
    TOP,
    WIDTH,
    style,
)
from photomeasure.papers.pdf.tables import grid

_SMALLEST_PHOTO: Final = 55.0 * MM
"""Less cannot be read; the rest then goes over to the next page."""

_LARGEST_PHOTO: Final = 118.0 * MM
_WITH_HEADING: Final = 32.0 * MM
"""Heading, column headings and the first rows of a table."""

_USUAL_PHOTO: Final = 85.0 * MM
"""Where what belongs to it needs a further page in any case."""

_ANY_HEIGHT: Final = 10_000.0
"""More than any flowable is asked to be measured in."""

_SHAPE_SIDE: Final = 32.0 * MM
"""Of the longest side of a shaped piece on paper."""


def pdf_bytes(paper: Paper) -> bytes:
    """Write a paper.

    Parameters
    ----------
    paper : Paper

    Returns
    -------
    bytes
        The same for the same paper; on computers with other fonts only letters beyond
        western Europe's may differ.
    """
    letters = Letters()
    stream = io.BytesIO()
    sheet = SHEETS[paper.sheet]
    frame = Frame(sheet.margin, BOTTOM, WIDTH, sheet.height, 0, 0, 0, 0)
    document = BaseDocTemplate(
        stream,
        pagesize=sheet.size,
        title=paper.title,
        author="",
        creator="photomeasure",
        invariant=1,
        lang="en",
    )
    document.addPageTemplates([PageTemplate("page", [frame])])
    story = _Story(paper, letters).flowables()

    def numbered(*arguments: Any, **options: Any) -> Canvas:  # noqa: ANN401
        return _NumberedCanvas(paper, letters, *arguments, **options)

    document.build(story, canvasmaker=numbered)
    return stream.getvalue()


class _NumberedCanvas(Canvas):  # type: ignore[misc]
    """Writes head and foot of each page once the number of pages is known."""

    def __init__(
        self,
        paper: Paper,
        letters: Letters,
        *arguments: Any,  # noqa: ANN401
        **options: Any,  # noqa: ANN401
    ) -> None:
        super().__init__(*arguments, **options)
        self._paper, self._letters = paper, letters
        self._pages: list[dict[str, Any]] = []

    def showPage(self) -> None:  # noqa: N802 - the library's name
        """Keep the page for later."""
        self._pages.append(dict(self.__dict__))
        self._startPage()

    def save(self) -> None:
        """Write all pages."""
        for number, page in enumerate(self._pages, start=1):
            self.__dict__.update(page)
            self._around(number, len(self._pages))
            super().showPage()
        super().save()

    def _around(self, number: int, pages: int) -> None:
        paper, letters = self._paper, self._letters
        sheet = SHEETS[paper.sheet]
        left, right = sheet.margin, sheet.margin + WIDTH
        self.setStrokeColor(HexColor(RULE))
        self.setLineWidth(0.5)
        self.line(left, BOTTOM - 3 * MM, right, BOTTOM - 3 * MM)
        low = BOTTOM - 7.5 * MM
        pencil = Pencil(self, letters)
        pencil.write_bold(paper.foot, (left, low), 8.0, WIDTH - 95)
        self.setFont(REGULAR, 8.0)
        said = texts.PAGE.format(page=number, pages=pages)
        self.drawRightString(right, low, said)
        if number > 1:
            high = sheet.size[1] - TOP + 4 * MM
            job = dict(paper.head).get(texts.JOB, "")
            head = f"{paper.title}  ·  {job}" if job else paper.title
            pencil.write(head, (left, high), 8.0, WIDTH, colour=FAINT)


class _Story:
    """Turns the blocks of a paper into what is laid out."""

    def __init__(self, paper: Paper, letters: Letters) -> None:
        self._paper, self._letters = paper, letters

    def flowables(self) -> list[Flowable]:
        """Return everything from the title to the cautions."""
        story: list[Flowable] = []
        for blocks in _pages(self._paper.blocks):
            first = not story
            if first:
                story += self._fitted_page(self._opening(), blocks)
                story += self._cautions() if self._paper.cautions_first else []
            else:
                story += [PageBreak(), *self._fitted_page([], blocks)]
        story += [] if self._paper.cautions_first else self._cautions()
        if self._letters.substituted:
            story.append(self._text(texts.SUBSTITUTED, 7.5, before=6))
        return story

    def _fitted_page(
        self, begun: list[Flowable], blocks: Sequence[Block]
    ) -> list[Flowable]:
        """Return one page's blocks, its photo as large as leaves room for the rest."""
        pictures = [block for block in blocks if isinstance(block, Picture)]
        rest = [self._block(b) for b in blocks if not isinstance(b, Picture)]
        if not pictures:
            return [*begun, *(flowable for part in rest for flowable in part)]
        taken = sum(_height(flowable) for part in (begun, *rest) for flowable in part)
        room = (SHEETS[self._paper.sheet].height - taken - 4.0 * MM) / len(pictures)
        high = min(_LARGEST_PHOTO, room) if room >= _SMALLEST_PHOTO else _USUAL_PHOTO
        page = list(begun)
        for block in blocks:
            if isinstance(block, Picture):
                page += self._picture(block, high)
            else:
                page += self._block(block)
        return page

    def _block(self, block: Block) -> list[Flowable]:
        if isinstance(block, Picture):
            return self._picture(block, _LARGEST_PHOTO)
        if isinstance(block, Table):
            # A heading at the foot of a page heads nothing.
            keep = CondPageBreak(_WITH_HEADING)
            return [keep, self._heading(block.title), self._grid(block)]
        if isinstance(block, Text | Alert | Part):
            return self._words(block)
        return self._drawn(block)

    def _words(self, block: Text | Alert | Part) -> list[Flowable]:
        if isinstance(block, Part):
            return [self._text(block.title, 15.0, bold=True), Spacer(0, 2 * MM)]
        return self._sentences(block) if isinstance(block, Text) else [self._alert(block)]

    def _drawn(self, block: Shapes | Boards | Gallery | Signature) -> list[Flowable]:
        match block:
            case Shapes():
                return self._shapes(block)
            case Boards():
                return self._boards(block)
            case Gallery():
                return self._gallery(block)
            case Signature():
                return [self._signature(block)]

    def _text(
        self, text: str, size: float = 8.6, *, bold: bool = False, before: float = 0.0
    ) -> Paragraph:
        markup = self._letters.markup(text, BOLD if bold else REGULAR)
        return Paragraph(markup, style(size, bold=bold, before=before))

    def _heading(self, title: str) -> Flowable:
        return self._text(title, 11.0, bold=True, before=7)

    def _grid(self, table: Table) -> Flowable:
        return grid(table, self._letters, self._paper.currency)

    def _opening(self) -> list[Flowable]:
        """Return letterhead, title, head and what every paper says first."""
        paper, letters = self._paper, self._letters
        title = self._text(paper.title, 21.0, bold=True)
        firm = [
            Paragraph(
                letters.markup(line, BOLD if i == 0 else REGULAR),
                style(9.5 if i == 0 else 8.4, bold=i == 0, side=2),
            )
            for i, line in enumerate(paper.firm)
        ]
        top = Grid([[title, firm or ""]], colWidths=[WIDTH * 0.6, WIDTH * 0.4], style=_BARE)
        rows = [
            [self._text(label, 8.4), self._text(text, 9.6, bold=label == texts.JOB)]
            for label, text in paper.head
        ]
        head = Grid(rows, colWidths=[24 * MM, WIDTH - 24 * MM], style=_BARE, splitInRow=1)
        return [top, Spacer(0, 3 * MM), head, Spacer(0, 2 * MM), self._statement()]

    def _statement(self) -> Flowable:
        """Return the strip that says how sure the lengths are."""
        paper = self._paper
        said = [self._text(paper.measured, 8.8), self._text(paper.check, 9.6, bold=True)]
        box: list[tuple[Any, ...]] = [
            ("BACKGROUND", (0, 0), (-1, -1), HexColor(HEADING_BACK)),
            ("LINEBEFORE", (0, 0), (0, -1), 3.0, HexColor(ACCENT)),
            ("LEFTPADDING", (0, 0), (-1, -1), 8),
            ("TOPPADDING", (0, 0), (-1, -1), 4),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 5),
        ]
        return Grid([[said]], colWidths=[WIDTH], style=box, spaceAfter=6)

    def _sentences(self, block: Text) -> list[Flowable]:
        body = [self._text(sentence, 9.0, before=2) for sentence in block.sentences]
        head = [self._heading(block.heading)] if block.heading else []
        return [*head, *body, Spacer(0, 2 * MM)]

    def _alert(self, block: Alert) -> Flowable:
        rows = [[self._text(block.heading, 10.5, bold=True)]]
        rows += [[self._text(sentence, 9.0)] for sentence in block.sentences]
        box: list[tuple[Any, ...]] = [
            ("BACKGROUND", (0, 0), (-1, -1), HexColor(ALERT_BACK)),
            ("LINEBEFORE", (0, 0), (0, -1), 3.0, HexColor(ALERT_EDGE)),
            ("LEFTPADDING", (0, 0), (-1, -1), 8),
            ("TOPPADDING", (0, 0), (-1, -1), 2.5),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 2.5),
        ]
        return Grid(
            rows, colWidths=[WIDTH], style=box, splitInRow=1, spaceBefore=4, spaceAfter=8
        )

    def _picture(self, block: Picture, high: float) -> list[Flowable]:
        return [self._image(block, WIDTH, high), Spacer(0, 2 * MM)]

    def _gallery(self, block: Gallery) -> list[Flowable]:
        """Return photos two a row."""
        wide = (WIDTH - 4 * MM) / 2
        cells = [
            [self._text(p.title, 9.0, bold=True), self._image(p, wide, _LARGEST_PHOTO)]
            for p in block.pictures
        ]
        rows = [[a, "", b] for a, b in zip(cells[::2], [*cells[1::2], ""], strict=False)]
        return [Grid(rows, colWidths=[wide, 4 * MM, wide], style=_BARE), Spacer(0, 2 * MM)]

    def _image(self, picture: Picture, wide: float, high: float) -> Image:
        across, down = picture.size_px
        gain = min(wide / across, high / down)
        return Image(io.BytesIO(picture.jpeg), across * gain, down * gain)

    def _shapes(self, block: Shapes) -> list[Flowable]:
        side = max(c for _, shape in block.shapes for p in shape.corners_mm for c in p)
        scale, across = _SHAPE_SIDE / max(side, 1.0), 3
        width = WIDTH / across
        cards = [ShapeCard(own, scale, width, self._letters) for own in block.shapes]
        rows = [cards[i : i + across] for i in range(0, len(cards), across)]
        padded = [[*row, *[""] * (across - len(row))] for row in rows]
        table = Grid(padded, colWidths=[width] * across, style=_BARE, hAlign="LEFT")
        return [KeepTogether([self._heading(block.title), table])]

    def _boards(self, block: Boards) -> list[Flowable]:
        scale = scale_of(block)
        story: list[Flowable] = [self._text(texts.CUT_SCALE.format(scale=scale), 8.6)]
        number = 0
        for plan in block.plans:
            bars: list[Flowable] = []
            for board in plan.boards:
                number += 1
                bars.append(BoardBar(board, number, block.marks, scale, self._letters))
            head = self._heading(plan.material.label)
            # A heading stays with the first board below it.
            story += [KeepTogether([head, Spacer(0, 1 * MM), *bars[:1]]), *bars[1:]]
        return [*story, Spacer(0, 3 * MM)]

    def _signature(self, block: Signature) -> Flowable:
        cells = [self._text(label, 7.8) for label in block.labels]
        gap, count = 6 * MM, len(cells)
        wide = (WIDTH - gap * (count - 1)) / count
        widths = [w for _ in cells for w in (wide, gap)][:-1]
        row = [c for cell in cells for c in (cell, "")][:-1]
        lines = [
            ("LINEABOVE", (i, 0), (i, 0), 0.7, HexColor(INK))
            for i in range(0, 2 * count, 2)
        ]
        table = Grid([row], colWidths=widths, style=[*_BARE, *lines])
        return KeepTogether([Spacer(0, 14 * MM), table, Spacer(0, 4 * MM)])

    def _cautions(self) -> list[Flowable]:
        if not self._paper.cautions:
            return []
        said = [self._text(f"!  {text}", 8.8, before=2) for text in self._paper.cautions]
        head = self._heading(texts.CAUTIONS)
        # The first two are of every job: they stay together.
        return [KeepTogether([head, *said[:2]]), *said[2:]]


_BARE: Final[list[tuple[Any, ...]]] = [
    ("LEFTPADDING", (0, 0), (-1, -1), 0),
    ("RIGHTPADDING", (0, 0), (-1, -1), 0),
    ("TOPPADDING", (0, 0), (-1, -1), 1),
    ("BOTTOMPADDING", (0, 0), (-1, -1), 1),
    ("VALIGN", (0, 0), (-1, -1), "TOP"),
]


def _pages(blocks: Sequence[Block]) -> list[list[Block]]:
    """Return the blocks parted where a page of its own begins."""
    pages: list[list[Block]] = [[]]
    for block in blocks:
        if isinstance(block, Part):
            pages.append([])
        pages[-1].append(block)
    return pages


def _height(flowable: Flowable) -> float:
    if isinstance(flowable, CondPageBreak):
        return 0.0
    before, after = flowable.getSpaceBefore(), flowable.getSpaceAfter()
    scratch = Canvas(io.BytesIO())
    high = flowable.wrapOn(scratch, WIDTH, _ANY_HEIGHT)[1]
    return float(high) + float(max(before, after, 0.0))
