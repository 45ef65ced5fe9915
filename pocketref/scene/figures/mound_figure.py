"""The pitcher's mound: its profile with the slope's heights, and the plan of its flat top.

Home lies to the left. Heights are drawn larger than lengths, and the figure says by how much.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from pocketref.field.mound import SlopePoint, list_slope
from pocketref.scene.dimensioning import ARROW_MM, THIN_MM, DimensionLine, DimensionSheet
from pocketref.scene.figures.plate_figure import Detail, write_label
from pocketref.scene.inks import BLACK, GREY_PALE, WHITE
from pocketref.scene.items import FontFace, Item, Shape, Stroke, Text
from pocketref.scene.paths import Point, arrowhead, extent_of, extent_of_all, polyline, rectangle, shift
from pocketref.scene.plan_view import EDGE_MM, OUTLINE_MM, FigureDrawing, finish_figure
from pocketref.scene.textfit import leading_mm
from pocketref.scene.typefaces import cap_height_mm, set_text, typeface
from pocketref.units.length import Length
from pocketref.units.notation import write_mm, write_tape
from pocketref.words.speech import say

EXAGGERATION = 4
"""How many times taller than long the profile is drawn: our own figure, so that an inch can be seen."""
_CROP_IN = Fraction(9)
"""How much of the mound a card shows past the slope's foot and past the flat top."""
_DASHED = Stroke(EDGE_MM, BLACK, (1.6, 0.8))
_DATUM = Stroke(THIN_MM, BLACK, (3.0, 0.8, 0.4, 0.8))  # ISO 128: long dash, dot


@dataclass(frozen=True, slots=True)
class _Drafting:
    """What every part of the figure needs. Paper x runs from the front of the pitcher's plate, away from home."""

    lengths: Mapping[str, Length]
    slope: tuple[SlopePoint, ...]
    scale: float
    sheet: DimensionSheet
    detail: Detail

    def x(self, behind: Length) -> float:
        return behind.float_mm / self.scale

    def y(self, height: Length) -> float:
        return height.float_mm * EXAGGERATION / self.scale

    @property
    def top(self) -> float:
        return self.y(self.lengths["pitchers-plate-height"])

    @property
    def flat_back(self) -> Length:
        """How far the flat top runs behind the front of the pitcher's plate."""
        depth = self.lengths.get("mound-flat-depth")
        return depth - self.lengths["mound-flat-front"] if depth else self.lengths["pitchers-plate-depth"]

    @property
    def ends(self) -> tuple[Point, Point]:
        """Where the drawn ground ends toward home and behind, in paper mm."""
        foot = self.slope[-1]
        ahead, back = -self.x(foot.ahead), self.x(self.flat_back)
        if self.detail == "sheet" and {"mound-diameter", "mound-centre", "pitching-distance"} <= set(
            self.lengths
        ):
            radius = self.lengths["mound-diameter"] / 2
            front = self.lengths["pitching-distance"] - self.lengths["mound-centre"] + radius
            return (min(-self.x(front), ahead - 2.0), 0.0), (max(self.x(radius * 2 - front), back + 2.0), 0.0)
        crop = self.x(Length(_CROP_IN))
        return (ahead - crop, self.y(foot.height) * 0.8), (back + crop, self.top * 0.86)

    def dimension(
        self, start: Point, end: Point, length: Length, offset: float = 0.0, outside: str = ""
    ) -> None:
        bracket = f"[{write_mm(length)}]"
        self.sheet.draw_dimension(
            DimensionLine(start, end, write_label(length), bracket, offset, outside, extend=abs(offset) > 0)
        )


def draw_mound(lengths: Mapping[str, Length], scale: float, size_pt: float, detail: Detail) -> FigureDrawing:
    """The mound's profile and the plan of its flat top at 1:`scale`, in type of `size_pt`.

    A card crops the mound to slope and flat top with the plan beside it; a sheet shows it whole with the plan
    below it. Without mound-flat-width or -depth there is no plan. Raises PocketrefError if the slope's
    dimensions are missing or make no sense.
    """
    draft = _Drafting(lengths, list_slope(lengths), scale, DimensionSheet(size_pt), detail)
    items = [*_draw_profile(draft), *_draw_heights(draft), *_draw_datum(draft)]
    _dimension_profile(draft)
    items += draft.sheet.items
    items += _draw_flat_top(draft, extent_of_all(items))
    return finish_figure(items, scale, write_mound_words(lengths))


def _draw_profile(draft: _Drafting) -> list[Item]:
    """The ground: firm where the rules fix it, dashed where it is blended in, and the pitcher's plate."""
    fixed = [(-draft.x(point.ahead), draft.y(point.height)) for point in reversed(draft.slope)]
    fixed.append((draft.x(draft.flat_back), draft.top))
    (x1, y1), (x2, y2) = draft.ends
    ground = [(x1, 0.0), (x1, y1), *fixed, (x2, y2), (x2, 0.0)]
    thickness = 1.6
    plate = rectangle(0.0, draft.top - thickness, draft.x(draft.lengths["pitchers-plate-depth"]), thickness)
    return [
        Shape(polyline(ground, closed=True), None, GREY_PALE),
        Shape(polyline([(x1, y1), fixed[0]]), _DASHED),
        Shape(polyline([fixed[-1], (x2, y2)]), _DASHED),
        Shape(polyline(fixed), Stroke(OUTLINE_MM, BLACK)),
        Shape(plate, Stroke(EDGE_MM, BLACK), WHITE),
    ]


def _draw_heights(draft: _Drafting) -> list[Item]:
    """Under a level line, how far down the ground is at each point; below, how high it is and how far ahead."""
    lead = leading_mm(draft.sheet.size_pt)
    pen = Stroke(THIN_MM, BLACK)
    top = draft.top + 1.2
    items: list[Item] = []
    for point in draft.slope:
        x, y = -draft.x(point.ahead), draft.y(point.height)
        items.append(Shape(polyline([(x, draft.top), (x, top)]), pen))
        if draft.top - y > ARROW_MM * 0.6:
            items.append(Shape(polyline([(x, draft.top), (x, y)]), pen))
            items.append(Shape(arrowhead((x, y), 270, min(ARROW_MM, draft.top - y)), fill=BLACK))
    below = [_count(point.below_plate) for point in draft.slope]
    items += _write_row(draft, top + 0.8, below, say("inches below a level line"), 1.05)
    foot = -1.4 - lead * 0.7
    items += _write_row(
        draft, foot, [_count(point.height) for point in draft.slope], say("inches above home plate")
    )
    if draft.detail == "sheet":
        ahead = [_count(point.ahead) for point in draft.slope]
        items += _write_row(draft, foot - lead * 2.2, ahead, say("inches ahead of the pitcher’s plate"))
    return items


def _write_row(
    draft: _Drafting, y: float, numbers: list[str], title: str, title_leads: float = -1.05
) -> list[Item]:
    """A number at each of the slope's points, and the row's title so many lines above them."""
    size = draft.sheet.size_pt
    places = [-draft.x(point.ahead) for point in draft.slope]
    items: list[Item] = [
        set_text(x, y, number, FontFace.MEDIUM, size, BLACK, "middle")
        for x, number in zip(places, numbers, strict=True)
    ]
    middle = (places[0] + places[-1]) / 2
    line = y + title_leads * leading_mm(size)
    return [*items, set_text(middle, line, title, FontFace.REGULAR, size, BLACK, "middle")]


def _draw_datum(draft: _Drafting) -> list[Item]:
    """The level line through the pitcher's plate's top, home plate's level, and words about them."""
    size, lead = draft.sheet.size_pt, leading_mm(draft.sheet.size_pt)
    (x1, _), (x2, _) = draft.ends
    items: list[Item] = [
        Shape(polyline([(x1, draft.top), (x2, draft.top)]), _DATUM),
        Shape(polyline([(x1 - 1.5, 0.0), (x2 + 1.5, 0.0)]), _DATUM),
    ]
    right, y = -draft.x(draft.slope[0].ahead) - 1.0, lead * 0.45
    fall = say("falls {drop} in each ft", drop=write_label(draft.lengths["mound-slope-drop"]))
    times, home = say("heights ×{times}", times=EXAGGERATION), say("to home")
    left = -draft.x(draft.slope[-1].ahead) + 6.5
    face = typeface(FontFace.ITALIC)
    is_tight = face.measure_mm(times, size) + face.measure_mm(home, size) > right - left
    low = y + lead * is_tight
    noted = [
        set_text(right, line, words, FontFace.ITALIC, size, BLACK, "end")
        for words, line in ((fall, low + lead), (times, low))
    ]
    if all(_is_in_ground(draft, words) for words in noted):  # the rows of heights and the caption say it too
        items += noted
    left, middle = -draft.x(draft.slope[-1].ahead) + 0.5, y + cap_height_mm(FontFace.ITALIC, size) / 2
    items.append(Shape(polyline([(left + 1.5, middle), (left + 5.0, middle)]), Stroke(0.7, BLACK)))
    items.append(Shape(arrowhead((left, middle), 180, 3.0, 46), fill=BLACK))
    items.append(set_text(left + 6.0, y, home, FontFace.ITALIC, size, BLACK))
    return items


def _is_in_ground(draft: _Drafting, words: Text) -> bool:
    """Whether words under the slope stay clear of its line, which rises away from home."""
    left, _, _, high = extent_of(words)
    foot, start = draft.slope[-1], draft.slope[0]
    low_x, high_x = -draft.x(foot.ahead), -draft.x(start.ahead)
    low_y, high_y = draft.y(foot.height), draft.y(start.height)
    ground = low_y + (left - low_x) * (high_y - low_y) / (high_x - low_x)
    return high + OUTLINE_MM <= ground


def _dimension_profile(draft: _Drafting) -> None:
    """Along the slope and the flat, and the height of the pitcher's plate."""
    lengths = draft.lengths
    rows = 2.9 if draft.detail == "card" else 5.1
    base = -1.4 - leading_mm(draft.sheet.size_pt) * rows
    start, foot = -draft.x(draft.slope[0].ahead), -draft.x(draft.slope[-1].ahead)
    for x in (foot, start, 0.0):
        draft.sheet.items.append(Shape(polyline([(x, base + 0.9), (x, base - 1.0)]), Stroke(THIN_MM, BLACK)))
    draft.dimension((foot, base), (start, base), lengths["mound-slope-length"])
    draft.dimension((start, base), (0.0, base), lengths["mound-flat-front"], outside="end")
    back = draft.ends[1][0]
    draft.dimension((back, 0.0), (back, draft.top), lengths["pitchers-plate-height"], -4.0)


def _draw_flat_top(draft: _Drafting, extent: tuple[float, float, float, float]) -> list[Item]:
    """The flat top from above with the pitcher's plate: beside the profile on a card, below it on a sheet."""
    lengths, size = draft.lengths, draft.sheet.size_pt
    if not {"mound-flat-width", "mound-flat-depth"} <= set(lengths):
        return []
    top = _Drafting(lengths, draft.slope, draft.scale, DimensionSheet(size), draft.detail)
    front, back = -top.x(lengths["mound-flat-front"]), top.x(top.flat_back)
    half, reach = top.x(lengths["mound-flat-width"]) / 2, top.x(lengths["pitchers-plate-width"]) / 2
    rear = top.x(lengths["pitchers-plate-depth"])
    items: list[Item] = [
        Shape(rectangle(front, -half, back - front, 2 * half), Stroke(OUTLINE_MM, BLACK), GREY_PALE),
        Shape(rectangle(0.0, -reach, rear, 2 * reach), Stroke(0.35, BLACK), WHITE),
    ]
    ends = (lengths["mound-flat-width"] - lengths["pitchers-plate-width"]) / 2
    behind = lengths["mound-flat-depth"] - lengths["mound-flat-front"] - lengths["pitchers-plate-depth"]
    low = -reach - (half - reach) * 0.55
    top.dimension((front, -half), (back, -half), lengths["mound-flat-depth"], -4.4)
    top.dimension((back, -half), (back, half), lengths["mound-flat-width"], -4.4)
    top.dimension((rear, -reach), (rear, reach), lengths["pitchers-plate-width"], -(back - rear) * 0.42)
    top.dimension((rear / 2, reach), (rear / 2, half), ends)
    top.dimension((rear, low), (back, low), behind)
    edge = Shape(polyline([(rear, low - 1.2), (rear, -reach - 0.8)]), Stroke(THIN_MM, BLACK))
    title = set_text(
        (front + back) / 2, half + 1.4, say("flat top, from above"), FontFace.REGULAR, size, BLACK, "middle"
    )
    items += [edge, *top.sheet.items, title]
    left, bottom, _, high = extent_of_all(items)
    if draft.detail == "card":
        middle = (extent[1] + extent[3]) / 2
        return list(shift(items, extent[2] + 7.0 - left, middle - (bottom + high) / 2))
    return list(shift(items, 0.0, extent[1] - 6.0 - high))


def write_mound_words(lengths: Mapping[str, Length]) -> str:
    """The figure in words, for who cannot see it."""
    given = {name: write_tape(length) for name, length in lengths.items()}
    points = [(_count(point.height), _count(point.ahead)) for point in list_slope(lengths)]
    steps = [say("{height} at {far}", height=height, far=far) for height, far in points]
    words = say(
        "Profile of the pitcher's mound, home to the left, heights drawn {times} times larger. The top of the "
        "pitcher's plate is {height} above home plate. From {start} in front of it the ground falls {drop} in each "
        "foot for {length}. Inches above home plate at inches ahead of the pitcher's plate: {steps}.",
        times=EXAGGERATION,
        height=given["pitchers-plate-height"],
        start=given["mound-flat-front"],
        drop=given["mound-slope-drop"],
        length=given["mound-slope-length"],
        steps=", ".join(steps),
    )
    if not {"mound-flat-width", "mound-flat-depth"} <= set(lengths):
        return words
    width, depth = given["mound-flat-width"], given["mound-flat-depth"]
    top = say("The flat top is {width} wide and {depth} deep.", width=width, depth=depth)
    return f"{words} {top}"


def _count(length: Length) -> str:
    """Inches without the unit, which the row's title or the sentence gives."""
    return write_tape(length).removesuffix(" in") if length.inches < 48 else str(length.inches)
