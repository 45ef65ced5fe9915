"""The decision chart of a table: the fewest questions that lead from any play to its ruling.

Best means: fewest questions in the worst case, then fewest expected (by the answers' weights, taken as independent,
over the plays that can happen); of facts that serve as well, the author's first is asked. Branches may ask in
orders of their own unless the author has fixed one. Combinations that cannot happen are don't-cares: a chart may
send them anywhere, and has no exit for an answer that cannot happen at its place.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from pocketref.problems import PocketrefError, Problem, Severity, refusal
from pocketref.rulings.audit import audit_table, list_problems
from pocketref.rulings.nodes import ChartTooLargeError, Node, Question, draw_nodes
from pocketref.rulings.questions import BestQuestions
from pocketref.rulings.table import Table, list_possible
from pocketref.words.terminal import tell


@dataclass(frozen=True, slots=True)
class Chart:
    """A decision chart. `nodes[root]` is where to start; exits hold numbers of nodes.

    `order` lists the facts asked, as every path asks them; in a `free` chart, whose paths agree on no order, as
    they first come up from the root. `is_proven_best` says that no chart of the kind asked for (any, or one in the
    given order) takes fewer questions in the worst case, or as many with fewer expected; charts of large tables are
    found by a rule of thumb. `is_fixed` says that the author set the order.
    """

    subject: str
    code: str
    nodes: tuple[Node, ...]
    root: int
    order: tuple[str, ...]
    free: bool
    is_proven_best: bool
    is_fixed: bool
    value: tuple[int, Fraction]
    """Questions in the worst case, and expected: the smaller pair is the shorter chart."""

    @property
    def worst(self) -> int:
        """The number of questions in the worst case."""
        return self.value[0]

    @property
    def expected(self) -> float:
        """The expected number of questions."""
        return float(self.value[1])

    @property
    def question_count(self) -> int:
        """The number of question nodes to draw."""
        return sum(isinstance(node, Question) for node in self.nodes)


def build_chart(table: Table) -> Chart:
    """The chart in the author's fixed order if there is one, else the best chart.

    Facts that a fixed order does not name come after it, as the author lists them. Raises PocketrefError if
    some possible play meets no row or two rows, if none is possible, if an order or weights are wrong, or if
    the chart is far too large to draw.
    """
    if table.fixed_order:
        return build_chart_in_order(table, table.fixed_order)
    return build_best_chart(table)


@lru_cache(maxsize=1024)
def find_chart(table: Table) -> Chart:
    """As `build_chart`, and kept: plays, cards and the web page ask for the same charts."""
    return build_chart(table)


def build_best_chart(table: Table) -> Chart:
    """The best chart, whatever order the author has fixed. Raises as `build_chart`."""
    return _build(table, ())


def build_chart_in_order(table: Table, order: Sequence[str]) -> Chart:
    """The best chart that asks in the given order; facts it does not name follow. Raises as `build_chart`."""
    table.space.box(dict.fromkeys(order, ()))  # refuses a fact that is none
    return _build(table, tuple(dict.fromkeys((*order, *table.space.names))))


def find_shorter_chart(table: Table) -> Chart | None:
    """The best chart, if it takes fewer questions than the author's fixed order; None if not, or none is fixed."""
    if not table.fixed_order:
        return None
    best = build_best_chart(table)
    return best if best.value < find_chart(table).value else None


def list_chart_problems(table: Table) -> list[Problem]:
    """A warning if a shorter chart than that of the author's fixed order exists, or might exist unfound.

    Raises as `build_chart`.
    """
    chart, best = find_chart(table), find_shorter_chart(table)
    if best is not None:
        sentence = tell(
            "the fixed order of {title} takes {worst} questions at worst and {expected:.2f} on "
            "average; {worst2} and {expected2:.2f} are enough",
            title=table.title,
            worst=chart.worst,
            expected=chart.expected,
            worst2=best.worst,
            expected2=best.expected,
        )
        hint = (
            tell("leave the order free")
            if best.free
            else tell("order: [{order}]", order=", ".join(best.order))
        )
        return [Problem("chart-longer", sentence, hint, table.where, Severity.WARNING)]
    if not chart.is_proven_best:
        sentence = tell(
            "the chart of {title}, {worst} questions at worst, was found by a rule of thumb: it asks "
            "too many facts for every way to be tried",
            title=table.title,
            worst=chart.worst,
        )
        hint = tell("split the table, or see whether another order is shorter")
        return [Problem("chart-unproven", sentence, hint, table.where, Severity.WARNING)]
    return []


def follow_chart(
    chart: Chart, answers: Mapping[str, str]
) -> tuple[tuple[tuple[Question, tuple[str, ...]], ...], Node]:
    """The way as far as the answers lead: each question with the answers of the exit taken; the node reached.

    That node is an ending, or a question whose fact is not answered or whose answer cannot happen there.
    """
    way: list[tuple[Question, tuple[str, ...]]] = []
    node = chart.nodes[chart.root]
    while isinstance(node, Question):
        given = answers.get(node.fact)
        taken = next((way_out for way_out in node.exits if given in way_out.answers), None)
        if taken is None:
            break
        way.append((node, taken.answers))
        node = chart.nodes[taken.target]
    return tuple(way), node


def _build(table: Table, order: tuple[str, ...]) -> Chart:
    """The best chart, in an order of all facts if one is given."""
    audit = audit_table(table)
    if not audit.is_unique:
        raise PocketrefError(p for p in list_problems(audit) if p.severity is Severity.ERROR)
    ruled = list_possible(table, table.space.full)
    if not ruled.boxes:
        sentence = tell("no play is possible in {title}", title=table.title)
        raise refusal("table-impossible", sentence, tell("look at 'never'"), table.where)
    questions = BestQuestions(table, ruled, [table.space.place_of[name] for name in order])
    try:
        nodes, value = draw_nodes(table, ruled, questions)
    except ChartTooLargeError:
        sentence = tell("the chart of {title} would be too large to draw", title=table.title)
        hint = (
            tell("leave the order of questions free, or split the table")
            if order
            else tell("split the table")
        )
        raise refusal("chart-too-large", sentence, hint, table.where) from None
    common = _find_common_order(nodes, order or table.space.names)
    met = tuple(dict.fromkeys(node.fact for node in nodes if isinstance(node, Question)))
    return Chart(
        subject=table.subject,
        code=table.code,
        nodes=nodes,
        root=0,
        order=met if common is None else common,
        free=common is None,
        is_proven_best=questions.is_proven,
        is_fixed=bool(order),
        value=value,
    )


def _find_common_order(nodes: Sequence[Node], preferred: Sequence[str]) -> tuple[str, ...] | None:
    """The facts asked in an order that every path keeps, else as preferred; None if there is no such order."""
    before: dict[str, set[str]] = {node.fact: set() for node in nodes if isinstance(node, Question)}
    for node in nodes:
        if isinstance(node, Question):
            for target in (nodes[way_out.target] for way_out in node.exits):
                if isinstance(target, Question):
                    before[target.fact].add(node.fact)
    order: list[str] = []
    while before:
        first = next((fact for fact in preferred if fact in before and before[fact] <= {*order}), None)
        if first is None:
            return None
        order.append(first)
        del before[first]
    return tuple(order)
