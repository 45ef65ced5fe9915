"""The decision chart of a table: the fewest questions that lead from any play to its ruling.

Best means: fewest questions in the worst case, then fewest expected (by the answers' weights, taken as
independent, over the plays that can happen), then, among charts with one order, fewest question nodes, then
the author's order of facts. A chart whose branches each have their own order is used only where it asks
strictly less than every chart with one order (`free` says so), or where a large table left no time to find
an order as short; among these, the one that is smallest before
equal parts of it are drawn as one. Combinations that cannot happen are
don't-cares: a chart may send them anywhere, and has no exit for an answer that cannot happen at its place.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from pocketref.problems import PocketrefError, Problem, Severity
from pocketref.rulings.audit import audit_table, problems_of
from pocketref.rulings.boxes import unknown_fact
from pocketref.rulings.nodes import (
    Drawing,
    Ending,
    Exit,
    FreeRoute,
    GreedyRoute,
    Node,
    OrderRoute,
    Question,
    draw_together,
)
from pocketref.rulings.orders import OrderSearch, best_orders, sift_order
from pocketref.rulings.questions import QuestionSearch, SearchTooLongError
from pocketref.rulings.table import Table, possible_pieces

__all__ = [
    "Chart",
    "Ending",
    "Exit",
    "Node",
    "Question",
    "build_best_chart",
    "build_chart",
    "build_chart_in_order",
    "build_single_order_chart",
    "find_chart",
    "follow_chart",
    "order_problems",
    "shorter_order",
]

MOST_FACTS = 10
"""With more facts that matter than this, charts are found by heuristics."""
MOST_STEPS = 150_000
"""The exact search gives way to the heuristics after as many states."""
MOST_EQUAL_ORDERS = 150
"""Equally short orders compared by their number of nodes."""
SIFTING_STEPS = 30_000
DRAWING_STEPS = 1_500_000
"""A chart that takes more steps to draw is refused."""


@dataclass(frozen=True, slots=True)
class Chart:
    """A decision chart. `nodes[root]` is where to start; exits hold numbers of nodes.

    `order` lists the facts asked: in a chart with one order, that order; in a free chart, as they first come
    up from the root. `worst` and `expected` are numbers of questions. `is_proven_best` says that no chart
    of the kind asked for (any; one order; the given order) takes fewer in the worst case, or as many with
    fewer expected. `is_fixed` says that the author set the order.
    """

    subject: str
    code: str
    nodes: tuple[Node, ...]
    root: int
    order: tuple[str, ...]
    worst: int
    expected: float
    free: bool
    is_proven_best: bool
    is_fixed: bool
    value: tuple[int, Fraction]
    """Worst case and expected number, exact: the smaller pair is the shorter chart."""

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


@lru_cache(maxsize=64)
def find_chart(table: Table) -> Chart:
    """As `build_chart`, and kept: plays, cards and the web page ask for the same charts."""
    return build_chart(table)


def build_best_chart(table: Table) -> Chart:
    """The best chart of any kind, whatever order the author has fixed.

    Proven best for up to 10 facts that matter (unless the search takes too long), else found by heuristics;
    `is_proven_best` says which. Raises as `build_chart`.
    """
    search = _start_search(table)
    if _facts_that_matter(search) <= MOST_FACTS:
        try:
            return _exact_chart(table, search)
        except SearchTooLongError:
            pass
    return _heuristic_chart(table, search)


def build_single_order_chart(table: Table) -> Chart:
    """The best chart in which every path asks its facts in one order. Raises as `build_chart`."""
    search = _start_search(table)
    if _facts_that_matter(search) <= MOST_FACTS:
        try:
            best = _drawn_best(table, search, best_orders(search, MOST_EQUAL_ORDERS))
            return _chart(table, best[1], best[0].places, proven=True)
        except SearchTooLongError:
            pass
    order, drawing = _sifted(table, search)
    return _chart(table, drawing, order.places, proven=False)


def build_chart_in_order(table: Table, order: Sequence[str]) -> Chart:
    """The best chart that asks in the given order; facts it does not name follow. Raises as `build_chart`."""
    search = _start_search(table)
    for fact in order:
        if fact not in table.fact_by_name:
            raise PocketrefError([unknown_fact(fact, table.space.names)])
    names = tuple(dict.fromkeys((*order, *table.space.names)))
    places = tuple(table.space.place_of[name] for name in names)
    for thrifty in (False, True):
        search.steps_left = MOST_STEPS
        try:
            drawing = draw_together(table, search, OrderRoute(OrderSearch(search, places, thrifty=thrifty)))
        except SearchTooLongError:
            continue
        return _chart(table, drawing, places, proven=not thrifty, fixed=True)
    raise _too_large(table, "leave the order of questions free, or split the table")


def shorter_order(table: Table) -> Chart | None:
    """The best chart, if it takes fewer questions than the author's fixed order; None if not, or none is fixed."""
    if not table.fixed_order:
        return None
    best = build_best_chart(table)
    return best if best.value < build_chart(table).value else None


def order_problems(table: Table) -> list[Problem]:
    """A warning if a shorter chart exists than the author's fixed order gives; else empty."""
    best = shorter_order(table)
    if best is None:
        return []
    fixed = build_chart(table)
    sentence = (
        f"the fixed order of {table.title} takes {fixed.worst} questions at worst and {fixed.expected:.2f} "
        f"on average; {best.worst} and {best.expected:.2f} are enough"
    )
    hint = "leave the order free" if best.free else f"order: [{', '.join(best.order)}]"
    return [Problem("chart-longer", sentence, hint, table.where, Severity.WARNING)]


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


# --- building -----------------------------------------------------------------------------------------------


def _start_search(table: Table) -> QuestionSearch:
    """The search over a table in which every possible play meets exactly one row."""
    audit = audit_table(table)
    if not audit.is_unique:
        raise PocketrefError(p for p in problems_of(audit) if p.severity is Severity.ERROR)
    pieces = possible_pieces(table, table.space.full)
    if not pieces.boxes:
        sentence = f"no play is possible in {table.title}"
        raise PocketrefError([Problem("table-impossible", sentence, "look at 'never'", table.where)])
    return QuestionSearch(table, pieces, MOST_STEPS)


def _facts_that_matter(search: QuestionSearch) -> int:
    return len(search.useful(search.pieces.everyone, search.every_place))


def _exact_chart(table: Table, search: QuestionSearch) -> Chart:
    """The shortest chart, with one order if that is as short as any. Raises SearchTooLongError."""
    free = FreeRoute(search)
    value = free.value
    try:
        orders = best_orders(search, MOST_EQUAL_ORDERS, enough=value)
    except SearchTooLongError:
        orders = []
    if orders:
        order, drawing = _drawn_best(table, search, orders)
        return _chart(table, drawing, order.places, proven=True)
    search.steps_left = DRAWING_STEPS
    return _chart(table, draw_together(table, search, free), (), proven=True)


def _drawn_best(
    table: Table, search: QuestionSearch, orders: Sequence[OrderSearch]
) -> tuple[OrderSearch, Drawing]:
    """Of equally short orders the one with the fewest nodes, then nearest to the author's."""
    search.steps_left = DRAWING_STEPS
    drawn = [(order, draw_together(table, search, OrderRoute(order))) for order in orders]
    return min(drawn, key=lambda pair: (pair[1].questions, pair[0].places))


def _heuristic_chart(table: Table, search: QuestionSearch) -> Chart:
    """The shorter of a free chart built greedily and a sifted order; the order if they are as short."""
    greedy = _draw_greedily(table, search)
    order = sift_order(search, _places_as_met(table, greedy), SIFTING_STEPS)
    if order is not None:
        search.steps_left = DRAWING_STEPS
        drawing = draw_together(table, search, OrderRoute(order))
        if drawing.value <= greedy.value:
            return _chart(table, drawing, order.places, proven=False)
    return _chart(table, greedy, (), proven=False)


def _draw_greedily(table: Table, search: QuestionSearch) -> Drawing:
    search.steps_left = DRAWING_STEPS
    try:
        return draw_together(table, search, GreedyRoute(search))
    except SearchTooLongError:
        raise _too_large(table, "split the table") from None


def _too_large(table: Table, hint: str) -> PocketrefError:
    sentence = f"the chart of {table.title} would be too large to draw"
    return PocketrefError([Problem("chart-too-large", sentence, hint, table.where)])


def _places_as_met(table: Table, drawing: Drawing) -> tuple[int, ...]:
    """All facts, those that a drawing asks first, as they first come up."""
    names = dict.fromkeys((*drawing.facts, *table.space.names))
    return tuple(table.space.place_of[name] for name in names)


def _sifted(table: Table, search: QuestionSearch) -> tuple[OrderSearch, Drawing]:
    """A sifted order and its drawing; raises PocketrefError if even the first order is too large."""
    greedy = _draw_greedily(table, search)
    order = sift_order(search, _places_as_met(table, greedy), SIFTING_STEPS)
    if order is None:
        raise _too_large(table, "split the table")
    search.steps_left = DRAWING_STEPS
    return order, draw_together(table, search, OrderRoute(order))


def _chart(
    table: Table, drawing: Drawing, places: Sequence[int], *, proven: bool, fixed: bool = False
) -> Chart:
    """`places` is the one order of the chart; empty if its branches have their own."""
    asked = set(drawing.facts)
    names = [table.space.names[place] for place in places]
    return Chart(
        subject=table.subject,
        code=table.code,
        nodes=drawing.nodes,
        root=0,
        order=tuple(name for name in names if name in asked) or drawing.facts,
        worst=drawing.worst,
        expected=drawing.expected,
        free=not places and drawing.questions > 0,
        is_proven_best=proven,
        is_fixed=fixed,
        value=drawing.value,
    )
