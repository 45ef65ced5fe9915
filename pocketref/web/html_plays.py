"""What a training sheet puts on a page besides words: a picture of its own, choices, fields to type in, a panel."""

from __future__ import annotations

from xml.etree.ElementTree import Element

from pocketref.web.html_content import WebBlanks, WebChoices, WebPanel, WebPicture
from pocketref.web.html_drawing import InlineDrawing, draw_inline
from pocketref.web.html_faces import write_scroller
from pocketref.web.html_tree import append, mark_bold, tag

_A = ord("A")


def write_picture(content: WebPicture, name: str, title: str) -> tuple[Element, InlineDrawing]:
    """The picture as a figure with the id `name`, and its drawing; what it shows is said to who cannot see it.

    It is black on white on a dark screen too, since legends tell of what is dark in it.
    """
    drawing = draw_inline(content.items, name, content.alt)
    words = tag("figcaption", tag("p", content.caption, class_="caption"))
    if content.is_told:
        append(words, [tag("p", content.alt)])
    scroller = write_scroller(drawing.svg, f"{title}: {content.caption}")
    return tag("figure", scroller, words, id=name, class_="picture"), drawing


def write_choices(content: WebChoices, name: str) -> Element:
    """The choices as a lettered list, each with a button; those of one `name` exclude one another.

    The letter is in the label too, so that it is said with the choice; the list's own is hidden by the style.
    """
    entries = tag("ol", type="A", class_="choices")
    for number, entry in enumerate(content.entries):
        letter = chr(_A + number)
        button = tag("input", type="radio", name=name, value=letter, autocomplete="off")
        words = tag("span", *mark_bold(entry))
        entries.append(tag("li", tag("label", button, tag("strong", f"{letter}. "), words)))
    return tag("fieldset", tag("legend", content.question, class_="unseen"), entries)


def write_blanks(content: WebBlanks) -> Element:
    """A field under each label."""
    fields = [
        tag("label", label, " ", tag("input", type="text", autocomplete="off")) for label in content.labels
    ]
    return tag("div", *fields, class_="blanks")


def write_panel(content: WebPanel) -> Element:
    """The heading in reverse, and the entries as a list within the frame."""
    entries = tag("ul", *[tag("li", *mark_bold(entry)) for entry in content.entries])
    return tag("div", tag("h4", content.heading), entries, class_="panel")
