"""A page of a PDF as it is shown: what part of it a mark covers, its picture, and the words under a stroke."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from io import BytesIO
from typing import TYPE_CHECKING, Any, NamedTuple

from ledger.read.marginalia.pdf_words import Fragments, fragments, words_in

if TYPE_CHECKING:
    from pypdf import PageObject

#: A picture is the page's own where it covers this much of it (own choice: an export with white margins does).
_PAGE_SIZED = 0.4
#: A content stream longer than this is looked through no further for its picture.
_MOST_STEPS = 200_000
_DEEPEST = 5
_STILL = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
#: Operators that put something on the page (8.2, table 51): paths, shadings, text, pictures and forms.
_PAINTS = frozenset((*b"S s f F f* B B* b b* sh Tj TJ ' \" Do".split(), b"INLINE IMAGE"))

Matrix = tuple[float, float, float, float, float, float]


class Box(NamedTuple):
    """A part of the page, in fractions of what is shown of it."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def area(self) -> float:
        """Its share of the page; what hangs over the edge doesn't count."""
        across = min(1.0, self.right) - max(0.0, self.left)
        down = min(1.0, self.bottom) - max(0.0, self.top)
        return max(0.0, across) * max(0.0, down)


@dataclass
class View:
    """A page: its visible box (left, bottom, width, height) in its own units, how it is turned, its picture."""

    page: PageObject
    left: float
    bottom: float
    width: float
    height: float
    turn: int = 0
    picture: tuple[Box, Any, Matrix] | None = None
    _read: Fragments | None = field(default=None, repr=False)

    @classmethod
    def of(cls, page: PageObject) -> View:
        """The view of a page (14.11.2: the crop box is what is shown)."""
        box = page.cropbox
        left, bottom = float(box.left), float(box.bottom)
        width, height = float(box.width) or 1.0, float(box.height) or 1.0
        view = cls(page, left, bottom, abs(width), abs(height), int(page.rotation) % 360)
        sized = [each for each in view.pictures() if each[0].area >= _PAGE_SIZED]
        view.picture = max(sized, key=lambda each: each[0].area, default=None)
        return view

    def point(self, x: float, y: float) -> tuple[float, float]:
        """A point of the page's own units as it is shown: across and down."""
        across, up = (x - self.left) / self.width, (y - self.bottom) / self.height
        if self.turn == 90:
            return up, across
        if self.turn == 180:
            return 1 - across, up
        if self.turn == 270:
            return 1 - up, 1 - across
        return across, 1 - up

    def box(self, numbers: Sequence[float]) -> Box:
        """The smallest box around points x, y, x, y ...; the whole page where there are none."""
        points = [self.point(x, y) for x, y in zip(numbers[::2], numbers[1::2], strict=False)]
        if not points:
            return Box(0.0, 0.0, 1.0, 1.0)
        return Box(min(x for x, _ in points), min(y for _, y in points), max(x for x, _ in points),
                   max(y for _, y in points))  # fmt: skip

    def spot(self, covered: Box) -> tuple[float, float]:
        """The middle of a box, as fractions of the page's picture where it has one, else of the page."""
        frame = self.picture[0] if self.picture else Box(0.0, 0.0, 1.0, 1.0)
        across = ((covered.left + covered.right) / 2 - frame.left) / ((frame.right - frame.left) or 1.0)
        down = ((covered.top + covered.bottom) / 2 - frame.top) / ((frame.bottom - frame.top) or 1.0)
        return round(min(1.0, max(0.0, across)), 3), round(min(1.0, max(0.0, down)), 3)

    def looked_at(self, look: Callable[[bytes], tuple[str, str]]) -> tuple[str, str]:
        """What `look` says of the page's picture; empty where it has none that can be unpacked."""
        if self.picture is None:
            return "", ""
        with suppress(Exception):
            return look(_file_of(self.picture[1]))
        return "?", ""

    @property
    def lies(self) -> tuple[bool, bool, bool]:
        """How the page's picture lies on it: whether on its side (its rows run down), then whether what is shown runs
        from right to left, and from below upwards."""
        matrix = self.picture[2] if self.picture else _STILL
        corner, right, top = (self.point(*_at(matrix, x, y)) for x, y in ((0, 0), (1, 0), (0, 1)))
        along, upwards = _less(right, corner), _less(top, corner)
        if abs(along[0]) * self.width >= abs(along[1]) * self.height:
            return False, along[0] < 0, upwards[1] > 0
        return True, upwards[0] > 0, along[1] < 0

    @property
    def draws(self) -> bool:
        """Whether anything at all is drawn on the page; also where that can't be told."""
        with suppress(Exception):
            contents = self.page.get_contents()
            return contents is not None and any(operator in _PAINTS for _, operator in contents.operations)
        return True

    @property
    def has_words(self) -> bool:
        """Whether the page holds any words."""
        return bool(self._fragments())

    def words_under(self, quads: Sequence[float]) -> str:
        """The words under quadrilaterals (12.5.6.10: four points each)."""
        return words_in(self._fragments(), quads)

    def _fragments(self) -> Fragments:
        if self._read is None:
            self._read = Fragments(fragments(self.page))
        return self._read

    def pictures(self) -> Iterator[tuple[Box, Any, Matrix]]:
        """Every picture that the page draws, with the box it fills and the matrix that lays it there (8.3.3)."""
        with suppress(Exception):
            contents = self.page.get_contents()
            if contents is not None:
                yield from _drawn(self, contents.operations, self.page.get("/Resources"), _STILL, 0)


def _drawn(
    view: View, steps: Sequence[Any], resources: Any, matrix: Matrix, depth: int
) -> Iterator[tuple[Box, Any, Matrix]]:
    """Pictures of a content stream and of the forms in it (8.4.4 q, Q, cm; 8.8 Do; 8.10 forms)."""
    kept: list[Matrix] = []
    for operands, operator in steps[:_MOST_STEPS]:
        if operator == b"q":
            kept.append(matrix)
        elif operator == b"Q" and kept:
            matrix = kept.pop()
        elif operator == b"cm" and len(operands) == 6:
            a, b, c, d, e, f = map(float, operands)
            matrix = _times((a, b, c, d, e, f), matrix)
        elif operator == b"Do" and operands:
            yield from _done(view, _named(resources, operands[0]), resources, matrix, depth)


def _done(view: View, drawn: Any, resources: Any, matrix: Matrix, depth: int) -> Iterator[tuple[Box, Any, Matrix]]:
    kind = drawn.get("/Subtype") if hasattr(drawn, "get") else None
    if kind == "/Image":
        corners = [_at(matrix, x, y) for x, y in ((0, 0), (1, 0), (1, 1), (0, 1))]
        yield view.box([n for point in corners for n in point]), drawn, matrix
    elif kind == "/Form" and depth < _DEEPEST:
        from pypdf.generic import ContentStream

        own = drawn.get("/Matrix")
        if own is not None and len(own) == 6:
            a, b, c, d, e, f = map(float, own)
            matrix = _times((a, b, c, d, e, f), matrix)
        steps = ContentStream(drawn, view.page.pdf).operations
        yield from _drawn(view, steps, drawn.get("/Resources") or resources, matrix, depth + 1)


def _named(resources: Any, name: Any) -> Any:
    found = resources.get_object() if resources is not None else {}
    drawn = found.get("/XObject")
    each = drawn.get_object().get(name) if drawn is not None else None
    return each.get_object() if each is not None else {}


def _times(one: Matrix, other: Matrix) -> Matrix:
    a, b, c, d, e, f = one
    g, h, i, j, k, m = other
    return (a * g + b * i, a * h + b * j, c * g + d * i, c * h + d * j, e * g + f * i + k, e * h + f * j + m)


def _at(matrix: Matrix, x: float, y: float) -> tuple[float, float]:
    a, b, c, d, e, f = matrix
    return a * x + c * y + e, b * x + d * y + f


def _less(one: tuple[float, float], other: tuple[float, float]) -> tuple[float, float]:
    return one[0] - other[0], one[1] - other[1]


def _file_of(drawn: Any) -> bytes:
    """A picture as a file: a JPEG as it lies in the PDF, any other as PNG."""
    if drawn.get("/Filter") in ("/DCTDecode", ["/DCTDecode"]) and "/Decode" not in drawn:
        return bytes(drawn.get_data())
    kept = BytesIO()
    drawn.decode_as_image().save(kept, "PNG", compress_level=1)
    return kept.getvalue()
