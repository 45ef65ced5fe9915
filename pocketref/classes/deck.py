"""A class laid out: its slides in order, each with its minutes, and the speaker's notes to them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from pocketref.blocks.doubt import explain_doubt
from pocketref.blocks.kinds import build_blocks, list_cited, list_cites
from pocketref.blocks.setting import Setting
from pocketref.classes.difference_slides import build_differences
from pocketref.classes.figure_slides import build_box, build_chart
from pocketref.classes.objectives import list_objectives, write_seen
from pocketref.classes.play_slides import build_play
from pocketref.classes.slide import Frame, Slide, read_screen, write_place
from pocketref.classes.timing import STEP_S, list_starts, share_time, weigh_words, write_time
from pocketref.layouts.cards import LaidOut, lay_out_flow, write_tag
from pocketref.layouts.class_models import (
    AnyPart,
    BoxPartModel,
    ChartPartModel,
    ClassModel,
    DifferencesPartModel,
    FacePartModel,
    PlaysPartModel,
)
from pocketref.layouts.face_fit import make_document
from pocketref.layouts.footers import (
    explain_language,
    write_cites,
    write_edition,
    write_governs,
    write_mark,
    write_validity,
)
from pocketref.layouts.layout_library import Layouts
from pocketref.pages.blocks import Footer, Paragraphs, TitleBand
from pocketref.pages.composition import Misfit
from pocketref.pages.page import Page
from pocketref.pages.pagination import Flow
from pocketref.pages.type_scale import TypeSizes
from pocketref.pages.words import list_texts
from pocketref.plays.choices import AskedPlay, ask_plays
from pocketref.plays.plays import CasePlay, RuleBooks, RuledPlay, rule_on_play
from pocketref.problems import Location, PocketrefError, Problem
from pocketref.source.statements import DOUBT
from pocketref.words.speech import say, say_count
from pocketref.words.terminal import tell

NOTES = "-notes"
"""How the name of the speaker's notes ends."""


@dataclass(frozen=True, slots=True)
class TimedSlide:
    """A slide in its place: which part of the class it is of (None for what opens it), and for how long it is shown."""

    slide: Slide
    part: int | None
    seconds: int


@dataclass(frozen=True, slots=True)
class ClassDeck:
    """A class as it is published."""

    model: ClassModel
    slides: tuple[TimedSlide, ...]
    deck: LaidOut
    notes: LaidOut


def lay_out_class(model: ClassModel, books: RuleBooks, layouts: Layouts) -> ClassDeck:
    """The slides and the notes. PocketrefError, located in the class's file:

    "slide-full" for what has no room on a slide even at the least type, "class-short" if its minutes, or a part's,
    are fewer than its slides need; and what its blocks and plays refuse.
    """
    library = books.library
    setting = Setting(library, model.code, model.level, "card", pictures=layouts.pictures)
    edition = library.edition
    foot = f"{write_mark(edition)}. {write_governs()}"
    frame = Frame(write_tag(model, library, edition.season), foot, read_screen(model, layouts.styles))
    asked = ask_all(model, books)
    made: list[tuple[Slide, int | None]] = [(slide, None) for slide in _open(model, asked, setting, frame)]
    for number, part in enumerate(model.parts):
        made += [(slide, number) for slide in _build_part(part, number, asked, setting, books, frame)]
    whole = [(each, part) for slide, part in made for each in frame.divide(slide, _explain(slide, books))]
    whole[0] = replace(whole[0][0], body=(*whole[0][0].body, *_explain_language(whole))), None
    timed = _share_minutes(model, whole)
    pages, sizes = _compose(model, timed, books, frame)
    floor_pt = frame.screen.floor_pt
    document = make_document(model.title, f"class {model.class_}", pages, edition)
    deck = LaidOut(model.class_, document, sizes, floor_pt, model.location)
    return ClassDeck(model, timed, deck, _lay_out_notes(model, timed, books, layouts, frame))


def ask_all(model: ClassModel, books: RuleBooks) -> dict[str, AskedPlay]:
    """Every play of the class with its choices, by its name; right letters are balanced over all of them."""
    names = [name for part in model.parts if isinstance(part, PlaysPartModel) for name in part.cases]
    ruled: list[RuledPlay] = []
    for name in dict.fromkeys(names):
        file, _, case = name.partition("/")
        plays = books.library.plays[file]
        play = CasePlay(name, plays.subject, plays.cases[case])
        ruled.append(rule_on_play(books, play, model.code, model.level))
    return {each.ruled.case.name: each for each in ask_plays(books, ruled)}


def _open(model: ClassModel, asked: dict[str, AskedPlay], setting: Setting, frame: Frame) -> Iterator[Slide]:
    """What the class is, and what it is to teach."""
    edition = setting.library.edition
    lines = (
        f"*{write_edition(edition)}*",
        say(
            "{code}, season {season}. {validity}.",
            code=setting.library.codes[model.code].name,
            season=edition.season,
            validity=write_validity(edition),
        ),
        say_count(model.minutes, "{count} minute.", "{count} minutes."),
        write_governs(),
    )
    yield Slide(model.title, (Paragraphs("opening", lines),), (write_seen(frame.screen),), look="opening")
    aims = list_objectives(model, asked, setting)
    yield Slide(say("After this class you can"), (Paragraphs("objectives", aims, kind="list"),), ())


def _build_part(
    part: AnyPart,
    number: int,
    asked: dict[str, AskedPlay],
    setting: Setting,
    books: RuleBooks,
    frame: Frame,
) -> Iterator[Slide]:
    match part:
        case BoxPartModel():
            yield from build_box(setting)
        case ChartPartModel():
            yield from build_chart(setting, part.subject, frame)
        case PlaysPartModel():
            order = list(asked)
            for name in part.cases:
                yield from build_play(order.index(name) + 1, asked[name], books, setting.level)
        case DifferencesPartModel():
            yield from build_differences(part, setting, frame)
        case FacePartModel():
            cited = tuple(list_cited(part.blocks, setting))
            sections = write_cites(list_cites(part.blocks, setting), setting.library)
            notes = (say("Sections: {cites}.", cites=sections),) if sections else ()
            yield Slide(part.title, build_blocks(part.blocks, setting), notes, cited)


def _explain(slide: Slide, books: RuleBooks) -> str:
    """What the mark of doubt means, where the slide has it."""
    is_shown = any(DOUBT in text for text in list_texts([block.words() for block in slide.body]))
    return explain_doubt(books.library, slide.cited) if is_shown or slide.is_doubted else ""


def _explain_language(slides: Sequence[tuple[Slide, int | None]]) -> Iterator[Paragraphs]:
    """On the opening slide, whose the words of all slides are."""
    blocks = [block for slide, _ in slides for block in slide.body]
    if said := explain_language(blocks, " ".join(slide.title for slide, _ in slides)):
        yield Paragraphs("language", (said,), small=True)


def _share_minutes(model: ClassModel, slides: Sequence[tuple[Slide, int | None]]) -> tuple[TimedSlide, ...]:
    """Each slide's time: a part with minutes shares these, all others share what is left."""
    weights = [
        weigh_words(([b.words() for b in slide.body], slide.notes), slide.think_s) for slide, _ in slides
    ]
    fixed = {n: part.minutes for n, part in enumerate(model.parts) if part.minutes}
    left = 60 * model.minutes - sum(60 * minutes for minutes in fixed.values())
    groups: dict[int | None, list[int]] = {}
    for place, (_, part) in enumerate(slides):
        groups.setdefault(part if part in fixed else None, []).append(place)
    seconds = [0] * len(slides)
    for part, places in groups.items():
        total = left if part is None else 60 * fixed[part]
        if total < len(places) * STEP_S:
            where = model.locate("minutes") if part is None else model.locate("parts", part, "minutes")
            raise PocketrefError([_write_short(len(places), total, where)])
        for place, share in zip(places, share_time(total, [weights[place] for place in places]), strict=True):
            seconds[place] = share
    return tuple(TimedSlide(slide, part, own) for (slide, part), own in zip(slides, seconds, strict=True))


def _write_short(slides: int, total_s: int, where: Location | None) -> Problem:
    need = -(-slides * STEP_S // 60)
    sentence = tell(
        "{slides} slides are to be shown in {total_s} minutes, less than {step_s} s each",
        slides=slides,
        total_s=max(total_s, 0) // 60,
        step_s=STEP_S,
    )
    return Problem(
        "class-short",
        sentence,
        tell("give them {need} minutes or more, or take a part out", need=need),
        where,
    )


def _compose(
    model: ClassModel, slides: Sequence[TimedSlide], books: RuleBooks, frame: Frame
) -> tuple[tuple[Page, ...], tuple[TypeSizes, ...]]:
    pages, sizes, problems = [], [], []
    for number, timed in enumerate(slides, 1):
        slide = timed.slide
        place = write_place(number, len(slides))
        found = frame.compose(slide, f"slide {number}", place, _explain(slide, books))
        if isinstance(found, list):
            problems += [_write_full(model, number, timed, misfit, frame) for misfit in found]
            continue
        pages.append(found[0])
        sizes.append(found[1])
    if problems:
        raise PocketrefError(problems)
    return tuple(pages), tuple(sizes)


def _write_full(model: ClassModel, number: int, timed: TimedSlide, misfit: Misfit, frame: Frame) -> Problem:
    least = frame.list_sizes(timed.slide)[0].body_pt
    sentence = tell(
        "class {class_}, slide {number} '{title}': {block} is {excess} "
        "for a slide of 160 by 90 mm, even at the least type, {least:.1f} pt",
        class_=model.class_,
        number=number,
        title=timed.slide.title,
        block=misfit.block,
        excess=misfit.write_excess(),
        least=least,
    )
    hint = tell("shorten it, or give the class a shorter 'reading-distance' or a larger 'screen-height'")
    where = model.locate("title") if timed.part is None else model.locate("parts", timed.part)
    return Problem("slide-full", sentence, hint, where)


def _lay_out_notes(
    model: ClassModel, slides: Sequence[TimedSlide], books: RuleBooks, layouts: Layouts, frame: Frame
) -> LaidOut:
    """What is said to each slide, for how long, and from which minute on."""
    edition = books.library.edition
    starts = list_starts([each.seconds for each in slides])
    blocks = [
        Paragraphs(
            f"slide {number}",
            (f"*{each.slide.title}*", *(each.slide.notes or (say("Read it aloud."),))),
            f"{number}  "
            + say("{time}, from {start}", time=write_time(each.seconds), start=write_time(start)),
        )
        for number, (each, start) in enumerate(zip(slides, starts, strict=True), 1)
    ]
    whole = write_time(sum(each.seconds for each in slides))
    opening = Paragraphs(
        "how long",
        (
            say_count(
                len(slides),
                "{count} slide, {minutes} minutes. Each heading has the slide's time, and when it begins.",
                "{count} slides, {minutes} minutes. Each heading has the slide's time, and when it begins.",
                minutes=whole,
            ),
        ),
    )
    title = say("Notes: {title}", title=model.title)
    note = explain_doubt(books.library, [cited for each in slides for cited in each.slide.cited])

    def write_foot(page: int, pages: int) -> Footer:
        left = (
            write_edition(edition),
            say("Speaker's notes, page {page} of {pages}", page=page, pages=pages),
        )
        return Footer(left, (write_governs(), write_validity(edition)), note=note)

    flow = Flow(
        what=f"class {model.class_}, notes",
        head=TitleBand(title, frame.tag),
        foot=write_foot,
        parts=(tuple(blocks),),
        opening=(opening,),
        columns=2,
        where=model.location,
    )
    return lay_out_flow(f"{model.class_}{NOTES}", title, (flow,), model.stock, layouts, edition)
