"""Where a play's feet, knees, bat and ball are on a plan, and the facts that follow from them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from shapely import Polygon

from pocketref.field.feet import (
    FootPlacement,
    GroundJudgement,
    KneePlacement,
    Where,
    construct_footprint,
    construct_kneeprint,
    judge_foot,
    judge_knee,
)
from pocketref.field.plan import Plan, PointMm
from pocketref.problems import Problem, ProblemLog
from pocketref.rulings.situation import SITUATION
from pocketref.source.play_models import FootModel, KneeModel, PlayModel
from pocketref.source.ruling_models import FactModel, SubjectModel
from pocketref.units.length import FOOT_MM, Length
from pocketref.units.notation import write_measured
from pocketref.words.terminal import tell

AROUND_BOXES_MM = 3 * FOOT_MM
"""How far past the boxes a foot may be and still be on the drawing: our own figure."""
REACH_MM = 20 * FOOT_MM
"""How far from the plate the bat and the ball's way may reach: our own figure."""

_CORNERS: Mapping[str, str] = MappingProxyType(
    {"back-inner": "1", "back-outer": "2", "front-outer": "3", "front-inner": "4"}
)
FEET, KNEES = "the feet", "the knees"
SOURCES: Mapping[str, str] = MappingProxyType({"feet": FEET, "knees": KNEES, "ball": "the ball's way"})
"""The pictures that answer facts, by the key of a play that draws them, in words."""


@dataclass(frozen=True, slots=True)
class PlayScene:
    """A play's pictures on a plan: feet as placed and as judged against the batter's own box, bat and ball in mm."""

    feet: tuple[FootPlacement, ...]
    judged: tuple[GroundJudgement, ...]
    bat: tuple[PointMm, PointMm] | None
    in_hand: bool
    ball: tuple[PointMm, ...]
    meets: PointMm | None
    fielders: tuple[tuple[str, PointMm], ...] = ()
    """Each fielder's position and place."""
    knees: tuple[KneePlacement, ...] = ()
    judged_knees: tuple[GroundJudgement, ...] = ()

    @property
    def is_empty(self) -> bool:
        """Whether there is nothing to draw."""
        return not (self.feet or self.knees or self.bat or self.ball or self.fielders)


_PARTS = {
    ("foot", "left"): "the left foot is {beyond} past the boxes: off the drawing",
    ("foot", "right"): "the right foot is {beyond} past the boxes: off the drawing",
    ("knee", "left"): "the left knee is {beyond} past the boxes: off the drawing",
    ("knee", "right"): "the right knee is {beyond} past the boxes: off the drawing",
}
_AROUND = {
    "feet": "feet are drawn up to {around} around the boxes",
    "knees": "knees are drawn up to {around} around the boxes",
}
_FAR = {
    "bat": "the bat reaches {reach} from the plate: off the drawing",
    "ball": "the ball's way reaches {reach} from the plate: off the drawing",
    "fielder": "the fielder reaches {reach} from the plate: off the drawing",
}
NOTHING_DRAWN = PlayScene((), (), None, True, (), None)
"""A play without pictures."""


def place_play(play: PlayModel, plan: Plan) -> PlayScene:
    """The play's feet, knees, bat and ball on a plan of the plate area that has both boxes."""
    letter = "T" if play.bats == "right" else "F"

    def find(part: FootModel | KneeModel) -> PointMm:
        corner = plan.stations["A" if part.corner == "plate" else letter + _CORNERS[part.corner]]
        return corner.x_mm + part.right.float_mm, corner.y_mm + part.ahead.float_mm

    feet = [FootPlacement(*find(foot), float(foot.heading), foot.contact, foot.foot) for foot in play.feet]
    knees = [KneePlacement(*find(knee), knee.knee) for knee in play.knees]
    box = Polygon(plan.areas[find_own_box(play)].points_mm)
    plate = Polygon(plan.areas["plate"].points_mm)
    line_mm = plan.lines["box-first-inner"].width_mm
    return PlayScene(
        tuple(feet),
        tuple(judge_foot(foot, box, plate, line_mm) for foot in feet),
        (_point(play.bat.knob), _point(play.bat.tip)) if play.bat else None,
        play.bat.in_hand if play.bat else True,
        tuple(_point(point) for point in play.ball.path) if play.ball else (),
        _point(play.ball.meets) if play.ball and play.ball.meets else None,
        tuple((fielder.position, _point(fielder.at)) for fielder in play.fielders),
        tuple(knees),
        tuple(judge_knee(knee, box, plate, line_mm) for knee in knees),
    )


def find_own_box(play: PlayModel) -> str:
    """The area of a plan that is the batter's own box."""
    return "box-third" if play.bats == "right" else "box-first"


def list_sights(scene: PlayScene) -> dict[str, bool]:
    """What the scene shows, by picture: any foot on the plate, down wholly outside, or past a line's outer edge.

    Knees likewise; where feet are drawn, a knee that is not is not down.
    Where bat and ball meet again is fair ground up to the foul lines' outer edges (a line is fair, OBR definition
    of fair territory, from memory).
    """
    sights = {}
    if scene.judged:
        sights["feet on-plate"] = any(foot.touches_plate for foot in scene.judged)
        sights["feet wholly-outside"] = any(foot.where is Where.OUTSIDE for foot in scene.judged)
        sights["feet over-line"] = any(foot.past_outer_edge for foot in scene.judged)
    if scene.judged or scene.judged_knees:
        on_plate = any(knee.touches_plate for knee in scene.judged_knees)
        outside = any(knee.where is Where.OUTSIDE for knee in scene.judged_knees)
        sights |= {
            "knees on-plate": on_plate,
            "knees wholly-outside": outside,
            "knees out": on_plate or outside,
        }
    if scene.meets:
        sights["ball fair-ground"] = scene.meets[1] >= abs(scene.meets[0])
    return sights


def derive_facts(scene: PlayScene, subject: SubjectModel) -> dict[str, str]:
    """The subject's facts that the scene answers, in the subject's order."""
    sights = list_sights(scene)
    return {
        name: "yes" if sights[fact.from_.picture] else "no"
        for name, fact in subject.facts.items()
        if fact.from_ and fact.from_.picture in sights
    }


def source_of(fact: FactModel) -> str:
    """What answers a derived fact: "the feet", "the ball's way" or "runners, outs and count"; empty if nothing."""
    if fact.from_ is None:
        return ""
    return SOURCES[fact.from_.picture.split()[0]] if fact.from_.picture else SITUATION


def find_undrawn(play: PlayModel, fact: FactModel) -> str:
    """The key of a play that would answer the fact by its picture, if that is not drawn; else empty."""
    key = fact.from_.picture.split()[0] if fact.from_ and fact.from_.picture else ""
    if key == "ball":
        return "" if play.ball and play.ball.meets else "ball, with meets"
    return key if key and not (play.feet or play.knees) else ""


def find_off_drawing(play: PlayModel, scene: PlayScene, plan: Plan) -> list[Problem]:
    """Feet, knees, bat and ball that are too far away to be drawn, each with its place."""
    problems = ProblemLog()
    outlines = [plan.areas[name].points_mm for name in ("box-first", "box-third")]
    xs, ys = zip(*(point for outline in outlines for point in outline), strict=True)
    feet, knees = enumerate(scene.feet), enumerate(scene.knees)
    parts = [("feet", i, ("foot", foot.side), construct_footprint(foot)[0]) for i, foot in feet]
    parts += [("knees", i, ("knee", knee.side), construct_kneeprint(knee)) for i, knee in knees]
    for key, index, part, shape in parts:
        left, bottom, right, top = shape.bounds
        beyond = max(min(xs) - left, right - max(xs), min(ys) - bottom, top - max(ys))
        if beyond > AROUND_BOXES_MM:
            sentence = tell(_PARTS[part], beyond=write_measured(beyond))
            hint = tell(_AROUND[key], around=write_measured(AROUND_BOXES_MM))
            problems.error("play-foot-off", sentence, hint, play.locate(key, index))
    for what, points, where in (
        ("bat", scene.bat or (), play.locate("bat")),
        ("ball", (*scene.ball, *([scene.meets] if scene.meets else [])), play.locate("ball")),
        ("fielder", tuple(place for _, place in scene.fielders), play.locate("fielders")),
    ):
        reach = max((max(abs(x), abs(y)) for x, y in points), default=0.0)
        if reach > REACH_MM:
            sentence = tell(_FAR[what], reach=write_measured(reach))
            hint = tell("draw at most {reach} of it", reach=write_measured(REACH_MM))
            problems.error("play-ball-off", sentence, hint, where)
    return problems.problems


def _point(point: tuple[Length, ...]) -> PointMm:
    right, ahead = point
    return right.float_mm, ahead.float_mm
