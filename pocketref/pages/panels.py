"""Panels with a frame: a caution with its signal word."""

from __future__ import annotations

from dataclasses import dataclass, replace

from pocketref.pages.blocks import Paragraphs, first_baseline
from pocketref.pages.page import Box, Element, Role
from pocketref.pages.type_scale import TypeSizes
from pocketref.pages.words import Panel, Words
from pocketref.scene.inks import BLACK, WHITE
from pocketref.scene.items import FontFace, Item, Shape, Stroke
from pocketref.scene.paths import polyline, rectangle
from pocketref.scene.textfit import leading_mm
from pocketref.scene.typefaces import set_text
from pocketref.words.speech import say

_PAD_MM = 1.5
_FRAME_MM = 0.5
_LEAD_GAP_MM = 1.0


SIGNALS = {word: word.upper() for word in ("danger", "warning", "caution", "notice")}
"""The signal words of ANSI Z535 as panels print them."""


def say_signal(word: str) -> str:
    """A signal word in print."""
    return say(SIGNALS[word])


@dataclass(frozen=True, slots=True)
class CautionPanel:
    """A framed panel: alert triangle and signal word in a bar, then the title and what to do.

    Signal words carry the meanings of ANSI Z535; the panel does without colour, so that it says the same on
    any printer. NOTICE has no triangle, because nobody gets hurt.
    """

    label: str
    signal_word: str
    title: str
    entries: tuple[str, ...]
    lead: tuple[str, ...] = ()
    """What comes first, of the size that leads."""
    grows: bool = False

    def _texts(self, sizes: TypeSizes) -> tuple[tuple[Paragraphs, TypeSizes], ...]:
        """What leads, then the rest, each with its sizes."""
        lead = Paragraphs(f"{self.label}, lead", tuple(f"*{each}*" for each in self.lead))
        rest = Paragraphs(self.label, self.entries, small=True)
        return (*((lead, replace(sizes, body_pt=sizes.lead_pt)) for _ in self.lead[:1]), (rest, sizes))

    def _texts_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        texts = self._texts(sizes)
        return sum(text.measure_mm(width_mm, own) for text, own in texts) + _LEAD_GAP_MM * (len(texts) - 1)

    def _bar_mm(self, sizes: TypeSizes) -> float:
        return leading_mm(sizes.heading_pt) + 1.2

    def measure_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """Bar, text and frame."""
        inner = width_mm - 2 * _PAD_MM
        return self._bar_mm(sizes) + self._texts_mm(inner, sizes) + 2 * _PAD_MM

    def excess_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """How far the bar's words or the text's widest word stick out."""
        bar = self._mark_mm(sizes) + self._words(sizes)[0] + self._words(sizes)[1] + 6.0
        texts = (text.excess_mm(width_mm - 2 * _PAD_MM, own) for text, own in self._texts(sizes))
        return max(bar - width_mm, 0.0, *texts)

    def _words(self, sizes: TypeSizes) -> tuple[float, float]:
        word = set_text(0, 0, say_signal(self.signal_word), FontFace.BOLD, sizes.heading_pt, WHITE).width_mm
        return word, set_text(0, 0, self.title, FontFace.BOLD, sizes.body_pt, WHITE).width_mm

    def _mark_mm(self, sizes: TypeSizes) -> float:
        return 0.0 if self.signal_word == "notice" else self._bar_mm(sizes) * 0.95

    def draw(self, box: Box, sizes: TypeSizes) -> Element:
        """The panel from the top of the box, as high as it needs."""
        height, bar = self.measure_mm(box.width_mm, sizes), self._bar_mm(sizes)
        bottom = box.top - height
        frame: list[Item] = [
            Shape(rectangle(box.x, box.top - bar, box.width_mm, bar), None, BLACK),
            Shape(rectangle(box.x, bottom, box.width_mm, height), Stroke(_FRAME_MM, BLACK)),
        ]
        x = box.x + _PAD_MM
        baseline = first_baseline(box.top - 0.6, sizes.heading_pt)
        if self._mark_mm(sizes):
            frame += _draw_alert(x, box.top - bar / 2, bar * 0.36)
            x += self._mark_mm(sizes)
        word = set_text(x, baseline, say_signal(self.signal_word), FontFace.BOLD, sizes.heading_pt, WHITE)
        title = set_text(x + word.width_mm + 2.0, baseline, self.title, FontFace.BOLD, sizes.body_pt, WHITE)
        width, top = box.width_mm - 2 * _PAD_MM, box.top - bar - _PAD_MM
        texts = []
        for text, own in self._texts(sizes):
            high = text.measure_mm(width, own)
            texts.append(text.draw(Box(box.x + _PAD_MM, top - high, width, high), own))
            top -= high + _LEAD_GAP_MM
        return Element(
            Role.SECTION,
            (),
            (
                Element(Role.DECORATION, tuple(frame)),
                Element(Role.HEADING, (word, title)),
                *texts,
            ),
            label=self.label,
        )

    def words(self) -> Words:
        """The signal word and the title, then what to do."""
        return (Panel(f"{say_signal(self.signal_word)}: {self.title}", (*self.lead, *self.entries)),)


def _draw_alert(x: float, middle: float, radius: float) -> list[Item]:
    """A white triangle with a black stroke and dot, left edge at x."""
    height, half = radius * 2.0, radius * 1.15
    cx, base = x + half, middle - radius * 0.85
    triangle = [(cx - half, base), (cx + half, base), (cx, base + height)]
    return [
        Shape(polyline(triangle, closed=True), None, WHITE),
        Shape(
            polyline([(cx, base + height * 0.66), (cx, base + height * 0.32)]), Stroke(radius * 0.24, BLACK)
        ),
        Shape(rectangle(cx - radius * 0.12, base + height * 0.1, radius * 0.24, radius * 0.24), None, BLACK),
    ]
