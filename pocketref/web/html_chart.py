"""A decision chart as nested lists: each question, its answers, and where each leads."""

from __future__ import annotations

from xml.etree.ElementTree import Element

from pocketref.pages.words import ChartWords
from pocketref.scene.charts.flow_layout import FlowEnding, FlowExit, FlowNode, FlowQuestion
from pocketref.scene.charts.ruling_flow import write_ending_mark
from pocketref.web.html_tree import Node, append, tag


def write_chart(chart: ChartWords, name: str) -> Element:
    """The chart from its root; `name` begins the ids of its questions.

    A question that several answers lead to is written out once, and linked to from then on.
    """
    return tag("ul", tag("li", *_ChartWriter(chart, name).follow(chart.root)), class_="chart")


class _ChartWriter:
    """Numbers the questions in the order in which they are met."""

    def __init__(self, chart: ChartWords, name: str) -> None:
        self._chart = chart
        self._name = name
        self._numbers: dict[str, int] = {}

    def follow(self, key: str) -> list[Node]:
        """What a node says, and all that follows from it."""
        node = self._chart.nodes[key]
        if isinstance(node, FlowQuestion):
            return self._write_question(key, node)
        return _write_ending(node)

    def _write_question(self, key: str, question: FlowQuestion) -> list[Node]:
        if key in self._numbers:
            number = self._numbers[key]
            return ["go to ", tag("a", f"question {number}", href=f"#{self._name}-{number}")]
        number = self._numbers[key] = len(self._numbers) + 1
        asked = tag("span", f"{number}. {question.text}", class_="ask", id=f"{self._name}-{number}")
        return [asked, "\n", tag("ul", *[self._write_exit(leave) for leave in question.exits])]

    def _write_exit(self, leave: FlowExit) -> Element:
        label = leave.label[:1].upper() + leave.label[1:]
        answer = tag("li", tag("strong", f"{label}:", class_="answer"), " ")
        return append(answer, self.follow(leave.target))


def _write_ending(node: FlowNode) -> list[Node]:
    if not isinstance(node, FlowEnding):
        raise TypeError(f"a chart in words has no {type(node).__name__}")
    what = ", ".join(write_ending_mark(mark, words) for mark, words in node.lines)
    return [tag("strong", node.headline, class_="ruling"), tag("span", f" ({what})", class_="effect")]
