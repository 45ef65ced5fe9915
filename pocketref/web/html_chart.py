"""A decision chart as a ladder: a question a rung, beside it the rulings it leads to, and the way on down."""

from __future__ import annotations

from xml.etree.ElementTree import Element

from pocketref.pages.words import ChartWords
from pocketref.scene.charts.flow_layout import FlowEnding, FlowExit, FlowNode, FlowQuestion
from pocketref.scene.charts.ruling_flow import write_ending_mark
from pocketref.web.html_tree import Node, append, tag
from pocketref.words.speech import say


def write_chart(chart: ChartWords, name: str) -> Element:
    """The chart from its root; `name` begins the ids of those questions that are linked to.

    Of the answers that lead on, the last goes down the ladder, and the others have ladders of their own within. A
    question that several answers lead to is written out once, and linked to from then on.
    """
    root = chart.nodes[chart.root]
    if not isinstance(root, FlowQuestion):
        return tag("p", *_write_ending(root), class_="ladder")
    return _ChartWriter(chart, name).climb(chart.root)


class _ChartWriter:
    """Numbers the questions in the order in which they are met."""

    def __init__(self, chart: ChartWords, name: str) -> None:
        self._nodes = chart.nodes
        self._name = name
        self._numbers: dict[str, int] = {}
        self._asked: dict[str, Element] = {}

    def climb(self, key: str) -> Element:
        """The ladder from a question that was not met yet down to where all its answers are rulings."""
        ladder = tag("ol", class_="ladder")
        while key:
            question = self._nodes[key]
            if not isinstance(question, FlowQuestion):
                raise TypeError(f"a ladder has no rung that is a {type(question).__name__}")
            number = self._numbers[key] = len(self._numbers) + 1
            leads_on = [leave for leave in question.exits if self._is_new(leave)]
            onward = leads_on[-1] if leads_on else None
            asked = self._asked[key] = tag("p", f"{number}. {question.text}", class_="ask")
            exits = [self._write_exit(leave) for leave in question.exits if leave is not onward]
            if onward:
                exits.append(append(_write_answer(onward), [tag("em", say("go on"))]))
            ladder.append(tag("li", asked, tag("ul", *exits)))
            # What another answer's own ladder has asked by now is not asked again.
            key = onward.target if onward and self._is_new(onward) else ""
            if onward and not key:
                exits[-1].remove(exits[-1][-1])
                append(exits[-1], self._link(onward.target))
        return ladder

    def _is_new(self, leave: FlowExit) -> bool:
        return leave.target not in self._numbers and isinstance(self._nodes[leave.target], FlowQuestion)

    def _write_exit(self, leave: FlowExit) -> Element:
        answer = _write_answer(leave)
        if leave.target in self._numbers:
            return append(answer, self._link(leave.target))
        node = self._nodes[leave.target]
        return append(
            answer, [self.climb(leave.target)] if isinstance(node, FlowQuestion) else _write_ending(node)
        )

    def _link(self, key: str) -> list[Node]:
        number = self._numbers[key]
        name = f"{self._name}-{number}"
        self._asked[key].set("id", name)  # one that nothing leads to needs none
        return [tag("a", say("go to question {number}", number=number), href=f"#{name}")]


def _write_answer(leave: FlowExit) -> Element:
    label = leave.label[:1].upper() + leave.label[1:]
    return tag("li", f"{label}: ")


def _write_ending(node: FlowNode) -> list[Node]:
    if not isinstance(node, FlowEnding):
        raise TypeError(f"a chart in words has no {type(node).__name__}")
    what = ", ".join(write_ending_mark(mark, words) for mark, words in node.lines)
    return [tag("b", node.headline), f" ({what})"]
