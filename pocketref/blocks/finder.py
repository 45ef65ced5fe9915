"""What happened, and on which card and face it is: computed from the cards of the set, so that it is never stale."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from pydantic import Field

from pocketref.blocks.model import BlockModel, Cited, Subjects, list_nothing
from pocketref.blocks.setting import Place, Setting
from pocketref.pages.blocks import Block, draw_heading, first_baseline
from pocketref.pages.page import Box, Element, Role
from pocketref.pages.type_scale import TypeSizes
from pocketref.pages.words import Heading, Listing, Words
from pocketref.problems import ProblemLog, refusal
from pocketref.rulings.nodes import Question
from pocketref.scene.inks import BLACK, WHITE
from pocketref.scene.items import FontFace, Item, Shape
from pocketref.scene.paths import rounded_rectangle
from pocketref.scene.textfit import Line, break_text, leading_mm, write_line
from pocketref.scene.typefaces import cap_height_mm, set_text, typeface
from pocketref.source.library import Library
from pocketref.source.syntax.kinds import Name, Sentence
from pocketref.words.speech import Language, say
from pocketref.words.terminal import tell

Group = Literal["calls", "hurt", "look-up"]

_COLUMN_GAP_MM = 4.0
_BADGE_GAP_MM, _FACE_GAP_MM = 1.2, 1.0
"""Between a number and what happened, and between that and the face."""
_FIRST = ("front", "face 1")
"""Where a card starts: an entry without a face is there."""
_NARROW_MM = 95.0
"""Narrower faces have one column."""
_ENTRY_GAP_MM = 0.3
_MOST_GAP_MM = 2.6
_STEP_MM = 0.5


class MomentModel(BlockModel):
    """A moment of the game, and the subjects that come up in it."""

    moment: Sentence = Field(description="what the umpire has just seen, as a heading")
    calls: Subjects = Field(
        min_length=1, description="a list of subjects; those with charts on the cards are listed"
    )


class FinderBlockModel(BlockModel):
    """What happened, with the number of the card and the face that answers it; all cards of the code and level."""

    block: Literal["finder"]
    shows: tuple[Group, ...] = Field(
        default=("calls", "hurt", "look-up"),
        min_length=1,
        description="what it lists: calls to make, where somebody can get hurt, what to look up",
    )
    moments: tuple[MomentModel, ...] = Field(
        default=(), description="a list of moments by which calls are grouped, each moment and calls"
    )
    sets: tuple[Name, ...] = Field(
        default=(),
        description="further sets of cards, such as supplement: looked up by their titles, and members get them too",
    )

    def check(self, code: str, library: Library, problems: ProblemLog) -> None:
        """As every block, and each of the moments."""
        super().check(code, library, problems)
        for moment in self.moments:
            moment.check(code, library, problems)

    def list_cited(self, setting: Setting) -> Iterator[Cited]:
        """Nothing: what it names cites for itself."""
        return list_nothing()

    def build(self, setting: Setting) -> Block:
        """Subjects with the first question of their charts, cautions, then the faces that have neither."""
        library, own = setting.library, [place for place in setting.places if not place.set_]
        faces = _group_faces(place for place in setting.places if not place.set_ or place.set_ in self.sets)
        calls = {p.subject: _enter_subject(p, setting) for p in own if p.subject in library.subjects}
        titles = {entry.words for entry in calls.values()}
        hurts, others = [], []
        for places in faces:
            first, cautions = places[0], [library.cautions.get(place.block) for place in places]
            if named := [caution.title for caution in cautions if caution]:
                words = ", ".join((named[0], *(title[0].lower() + title[1:] for title in named[1:])))
                hurts.append(Entry(first.number, first.face, words))
            elif first.set_:
                others.append(Entry(first.number, "", first.title))
            elif first.title not in titles and not any(place.subject for place in places):
                others.append(Entry(first.number, first.face, first.title))
        lists: dict[Group, list[tuple[str, list[Entry]]]] = {
            "calls": self._group_calls(calls),
            "hurt": [(say("Somebody can get hurt"), hurts)],
            "look-up": [(say("To look up"), _merge(others))],
        }
        groups = [each for group in self.shows for each in lists[group]]
        if not any(group for _, group in groups):
            sentence = tell(
                "the finder has nothing to list: no other card of {code} {level} is of its kind",
                code=setting.code,
                level=setting.level,
            )
            hint = tell("add a card that it can list, or take the block out")
            raise refusal("finder-empty", sentence, hint, self.location)
        return FinderList(tuple(e for head, group in groups if group for e in (Entry("", "", head), *group)))

    def _group_calls(self, calls: Mapping[str, Entry]) -> list[tuple[str, list[Entry]]]:
        """The calls by moment; last those of no moment."""
        placed = {subject for moment in self.moments for subject in moment.calls}
        groups = [(m.moment, [calls[s] for s in m.calls if s in calls]) for m in self.moments]
        return [
            *groups,
            (say("A call to make"), [entry for subject, entry in calls.items() if subject not in placed]),
        ]


def _group_faces(places: Iterable[Place]) -> list[list[Place]]:
    faces: dict[tuple[str, str], list[Place]] = {}
    for place in places:
        faces.setdefault((place.number, place.face), []).append(place)
    return list(faces.values())


def _enter_subject(place: Place, setting: Setting) -> Entry:
    chart, table = setting.chart(place.subject)
    root = chart.nodes[chart.root]
    asks = table.fact_by_name[root.fact].ask if isinstance(root, Question) else ""
    return Entry(place.number, place.face, setting.find_subject(place.subject).title, asks)


def _merge(entries: Iterable[Entry]) -> list[Entry]:
    """What is on several faces or cards under one title stands there once, by the numbers alone."""
    merged: dict[str, Entry] = {}
    for entry in entries:
        before = merged.setdefault(entry.words, entry)
        if before is not entry:
            numbers = dict.fromkeys((*before.number.split(", "), entry.number))
            merged[entry.words] = replace(before, number=", ".join(numbers), face="")
    return list(merged.values())


@dataclass(frozen=True, slots=True)
class Entry:
    """A line of the finder: card, face, what happened, and what is asked first; or a heading, without a number."""

    number: str
    face: str
    words: str
    asks: str = ""

    @property
    def shown_face(self) -> str:
        """The face as printed: none for where the card starts."""
        if self.face in ("", *_FIRST):
            return ""
        name, _, number = self.face.partition(" ")
        side = say("face {number}", number=number) if number else say(name.capitalize())
        return side[0].lower() + side[1:]


@dataclass(frozen=True, slots=True)
class FinderList:
    """Entries in two columns, in one on a narrow face; height to spare goes between them."""

    entries: tuple[Entry, ...]
    label: str = "finder"
    grows: bool = True

    def measure_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """The least height at which its columns hold everything."""
        heights = self._heights(width_mm, sizes)
        height = sum(heights) / self._count_columns(width_mm)
        while len(self._fill(height, width_mm, sizes)) < len(self.entries):
            height += _STEP_MM
        return height

    def excess_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """How far the longest word sticks out."""
        lines = [line for entry in self.entries for line in self._break(entry, width_mm, sizes)]
        return max(0.0, *(line.width_mm - room for line, room in lines))

    def split(
        self, height_mm: float, width_mm: float, sizes: TypeSizes
    ) -> tuple[FinderList | None, FinderList | None]:
        """The entries that fit into a height, and those that go on elsewhere under their heading again."""
        count = len(self._fill(height_mm, width_mm, sizes))
        while count and not self.entries[count - 1].number:
            count -= 1
        rest = self.entries[count:]
        heading = next((e for e in reversed(self.entries[:count]) if not e.number), None)
        if rest and rest[0].number and heading:
            rest = (heading, *rest)
        head = replace(self, entries=self.entries[:count]) if count else None
        return head, replace(self, entries=rest) if rest else None

    def cut(
        self,
        height_mm: float,
        width_mm: float,
        sizes: TypeSizes,
        first_face: int,
        others: Sequence[tuple[Block, Language | None]] = (),
    ) -> tuple[Block, ...]:
        """Without what is asked if all then fits one face; else as many faces as it takes."""
        bare = self._strip()
        if bare.measure_mm(width_mm, sizes) <= height_mm:
            return (bare,)
        parts: list[Block] = []
        rest: FinderList | None = self
        while rest:
            head, rest = rest.split(height_mm, width_mm, sizes)
            if head is None:
                return (self,)
            parts.append(head)
        return tuple(parts)

    def is_part_of(self, whole: Block) -> bool:
        """Whether another list has all its entries, whatever is asked first."""
        return isinstance(whole, FinderList) and set(self._strip().entries) <= set(whole._strip().entries)

    def _strip(self) -> FinderList:
        """The list without what is asked first."""
        return replace(self, entries=tuple(replace(entry, asks="") for entry in self.entries))

    def _count_columns(self, width_mm: float) -> int:
        return 2 if width_mm > _NARROW_MM else 1

    def _column_mm(self, width_mm: float) -> float:
        count = self._count_columns(width_mm)
        return (width_mm - _COLUMN_GAP_MM * (count - 1)) / count

    def _badge_mm(self, entry: Entry, sizes: TypeSizes) -> float:
        measure = typeface(FontFace.BOLD).measure_mm
        return max(measure(number, sizes.lead_pt) for number in ("00", entry.number)) + 1.8

    def _break(self, entry: Entry, width_mm: float, sizes: TypeSizes) -> list[tuple[Line, float]]:
        """The entry's lines with the room of each: its words stand between number and face."""
        if not entry.number:
            room = self._column_mm(width_mm)
            lines = break_text(entry.words, FontFace.BOLD, room, sizes.heading_pt)
            return [(line, room) for line in lines]
        face = typeface(FontFace.REGULAR).measure_mm(entry.shown_face, sizes.lead_pt)
        wide = self._column_mm(width_mm) - self._badge_mm(entry, sizes) - _BADGE_GAP_MM
        room = wide - (face + _FACE_GAP_MM) * bool(entry.shown_face)
        words = break_text(entry.words, FontFace.BOLD, room, sizes.lead_pt)
        asks = break_text(entry.asks, FontFace.REGULAR, wide, sizes.lead_pt) if entry.asks else ()
        return [*((line, room) for line in words), *((line, wide) for line in asks)]

    def _heights(self, width_mm: float, sizes: TypeSizes) -> list[float]:
        """Of each entry, with the gap under it."""
        lead, heading = leading_mm(sizes.lead_pt), leading_mm(sizes.heading_pt)
        return [
            (len(self._break(entry, width_mm, sizes)) * lead if entry.number else heading) + _ENTRY_GAP_MM
            for entry in self.entries
        ]

    def _fill(self, height_mm: float, width_mm: float, sizes: TypeSizes) -> list[tuple[int, float]]:
        """The column of each entry that has room, and its distance from the top; a heading stays with what follows."""
        heights = self._heights(width_mm, sizes)
        placed: list[tuple[int, float]] = []
        column, down = 0, 0.0
        for at, (entry, height) in enumerate(zip(self.entries, heights, strict=True)):
            need = height if entry.number else height + sum(heights[at + 1 : at + 2])
            if down + need > height_mm + _ENTRY_GAP_MM + 0.01:
                column, down = column + 1, 0.0
            if column == self._count_columns(width_mm) or need > height_mm + _ENTRY_GAP_MM + 0.01:
                break
            placed.append((column, down))
            down += height
        return placed

    def draw(self, box: Box, sizes: TypeSizes) -> Element:
        """The columns from the top, spread over the box."""
        least, width = self.measure_mm(box.width_mm, sizes), self._column_mm(box.width_mm)
        placed = self._fill(least, box.width_mm, sizes)
        rows = max(sum(column == c for c, _ in placed) for column, _ in placed)
        more = min(max(box.height_mm - least, 0.0) / rows, _MOST_GAP_MM)
        children: list[Element] = []
        seen: dict[int, int] = {}
        for entry, (column, down) in zip(self.entries, placed, strict=True):
            x = box.x + column * (width + _COLUMN_GAP_MM)
            top = box.top - down - seen.get(column, 0) * more
            seen[column] = seen.get(column, 0) + 1
            children.append(
                self._draw_entry(entry, x, top, box.width_mm, sizes)
                if entry.number
                else draw_heading(entry.words, x, top, sizes)
            )
        return Element(Role.SECTION, (), tuple(children), label=self.label)

    def _draw_entry(self, entry: Entry, x: float, top: float, width_mm: float, sizes: TypeSizes) -> Element:
        size, lead, badge = sizes.lead_pt, leading_mm(sizes.lead_pt), self._badge_mm(entry, sizes)
        baseline = first_baseline(top, size)
        high = cap_height_mm(FontFace.BOLD, size) + 1.3
        field = rounded_rectangle(x, baseline - 0.65, badge, high, 0.7)
        items: list[Item] = [
            set_text(x + badge / 2, baseline, entry.number, FontFace.BOLD, size, WHITE, "middle")
        ]
        right = x + self._column_mm(width_mm)
        if entry.shown_face:
            items.append(set_text(right, baseline, entry.shown_face, FontFace.REGULAR, size, BLACK, "end"))
        for number, (line, _) in enumerate(self._break(entry, width_mm, sizes)):
            items += write_line(line, x + badge + _BADGE_GAP_MM, baseline - number * lead, size)
        badge_field = Element(Role.DECORATION, (Shape(field, fill=BLACK),))
        return Element(Role.SECTION, (), (badge_field, Element(Role.PARAGRAPH, tuple(items))))

    def words(self) -> Words:
        """Each group under its heading."""
        words: list[Heading | Listing] = []
        for entry in self.entries:
            if not entry.number:
                words += [Heading(entry.words), Listing(())]
            elif isinstance(words[-1], Listing):
                face = f", {entry.shown_face}" if entry.shown_face else ""
                asks = f" {entry.asks}" if entry.asks else ""
                line = f"*{entry.words}:* {entry.number}{face}.{asks}"
                words[-1] = replace(words[-1], entries=(*words[-1].entries, line))
        return tuple(words)
