"""Cards with a slot at the foot of their fronts for whose they are; all else is as the edition's own cards have it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import partial

from pocketref.edition.proof import Proof
from pocketref.layouts.cards import LaidOut
from pocketref.layouts.face_fit import compose_in_language
from pocketref.layouts.footers import write_edition, write_governs, write_mark, write_validity
from pocketref.layouts.overlap_check import check_overlaps
from pocketref.members.roster import Member
from pocketref.pages.blocks import Footer
from pocketref.pages.composition import Face, fits
from pocketref.pages.page import Page
from pocketref.pages.stocks import content_box
from pocketref.pages.type_scale import TypeSizes, sizes_for
from pocketref.problems import Location, PocketrefError, Problem
from pocketref.scene.items import FontFace, Slot
from pocketref.scene.typefaces import typeface
from pocketref.words.terminal import tell


def write_owner(member: Member) -> str:
    """The line that tells whose card it is."""
    return f"{member.name}, {member.number}".replace("'", "\u2019").replace("\u00a0", " ")


def open_owners(
    cards: Sequence[LaidOut], members: Sequence[Member], proof: Proof, file: str
) -> tuple[LaidOut, ...]:
    """A set's cards with room for whose they are.

    PocketrefError ("roster-name-long") with each of the members, whom `file` lists, whose name is too long for a card.
    """
    widest = max(map(write_owner, members), key=typeface(FontFace.BOLD).measure_em)
    opened = tuple(owned for card in cards if (owned := _open_owner(card, widest, proof)))
    if len(opened) == len(cards):
        return opened
    problems = []
    for member in members:
        excess = max(_find_excess(card, write_owner(member), proof) for card in cards)
        if excess > 0:
            sentence = tell(
                "'{member}' is {excess:.1f} mm too long for the cards",
                member=write_owner(member),
                excess=excess,
            )
            where = Location(file, member.line, 1)
            problems.append(
                Problem("roster-name-long", sentence, tell("shorten the name, such as to initials"), where)
            )
    raise PocketrefError(problems)


def _open_owner(card: LaidOut, widest: str, proof: Proof) -> LaidOut | None:
    """The card with a slot as wide as `widest` on each front; None if it has no room."""
    for feet in _list_feet(card, widest, proof):
        faces = [
            face if card.is_two_sided and number % 2 else _change_foot(face, feet[number % 2])
            for number, face in enumerate(card.faces)
        ]
        fitted = [_fit_face(card, face, sizes, proof) for face, sizes in zip(faces, card.sizes, strict=True)]
        found = [each for each in fitted if each]
        if len(found) == len(faces):
            sizes, pages = zip(*found, strict=True)
            document = replace(card.document, pages=pages)
            return replace(card, document=document, sizes=sizes, faces=tuple(faces))
    return None


def _change_foot(face: Face, foot: Footer) -> Face:
    """The face with another footer, which says what its marks mean as its own does."""
    note = face.foot.note if isinstance(face.foot, Footer) else ""
    return replace(face, foot=replace(foot, note=". ".join(filter(None, (foot.note, note)))))


def _list_feet(card: LaidOut, widest: str, proof: Proof) -> list[tuple[Footer, Footer]]:
    """The footers of front and back, the best first.

    What gives way to the owner is the day that the card holds through, which goes to the back, there to a line of its
    own if need be; at last the day stays, and the association's name goes.
    """
    foot = card.faces[0 if card.is_two_sided else 1].foot
    back = foot if isinstance(foot, Footer) else Footer(("",))
    cites = back.left[0]
    edition, validity = proof.library.edition, write_validity(proof.library.edition)
    if card.is_two_sided:  # each side says all in its language, and the back is as it was
        rest = partial(Footer, ("",), slot=Slot.OWNER, widest=widest, note=cites)
        named = rest((write_edition(edition), f"{validity}. {write_governs()}"))
        return [(named, back), (rest((f"{write_mark(edition)}. {validity}", write_governs())), back)]
    named = Footer(("",), (write_edition(edition),), slot=Slot.OWNER, widest=widest)
    marked = Footer(("",), (f"{write_mark(edition)}. {validity}",), slot=Slot.OWNER, widest=widest)
    return [
        (named, Footer((cites,), (f"{validity}. {write_governs()}",), flows=True)),
        (named, Footer((cites, validity), ("", write_governs()), flows=True)),
        (marked, Footer((cites,), (write_governs(),), flows=True)),
    ]


def _fit_face(card: LaidOut, face: Face, most: TypeSizes, proof: Proof) -> tuple[TypeSizes, Page] | None:
    """The face at the largest type, up to `most`, at which it fits and no words run over each other."""
    stock, styles = proof.layouts.stocks[card.stock], proof.layouts.styles
    (model,) = [model for model in proof.layouts.cards if model.card == card.name]
    lead_pt = styles.find_floor_pt(model.reading_distance)
    steps = [step for step in styles.list_steps(styles.card_scale) if step <= most.step_pt]
    for step in reversed(steps):
        sizes = sizes_for(step, card.floor_pt, lead_pt)
        if fits(face, content_box(stock), sizes):
            page = compose_in_language(face, sizes, stock, proof.layouts)
            if not check_overlaps(replace(card, document=replace(card.document, pages=(page,)))):
                return sizes, page
    return None


def _find_excess(card: LaidOut, owner: str, proof: Proof) -> float:
    """By how many mm the line that tells whose card it is is too long for it."""
    foot, _ = _list_feet(card, owner, proof)[-1]
    return foot.excess_mm(content_box(proof.layouts.stocks[card.stock]).width_mm, card.sizes[0])
