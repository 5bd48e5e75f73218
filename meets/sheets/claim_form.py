"""The form of a record claim: what was jumped, and lines for the officials who confirm it."""

from __future__ import annotations

from collections.abc import Sequence

from django.utils.translation import gettext as _
from reportlab.lib.units import mm
from reportlab.platypus import Flowable, Spacer

from athletes.paper.page import Page
from athletes.paper.parts import Box, Boxes, Sentence, SignatureLines, Ticks, WritingLines
from meets.sheets.documents import ClaimSheet
from meets.sheets.heading import page_for

BOX = 12 * mm
SIGNED = 12 * mm
LEAD = 24 * mm


def claim_form_pdf(sheet: ClaimSheet) -> bytes:
    """One page, signed by hand where no name is known yet."""
    page = page_for(sheet.about, _("Record claim"))
    wide = page.width
    story: list[Flowable] = [
        Sentence(_claimed(sheet), wide, size=15, strong=True),
        Spacer(0, 2 * mm),
        Boxes(
            [Box(_("athlete"), 3, sheet.name), Box(_("school"), 3, sheet.school), Box(_("bib"), 1, sheet.bib)],
            wide,
            BOX,
        ),
        Spacer(0, 2 * mm),
    ]
    story += [Sentence(how, wide, lead=what, lead_room=LEAD, size=9) for what, how in sheet.facts]
    story += _conditions(sheet, page)
    story += [
        Spacer(0, 4 * mm),
        Sentence(_("Decision"), wide, size=11, strong=True),
        Ticks([_("approved"), _("refused")], wide / 2),
    ]
    if sheet.decided:
        story.append(Sentence(sheet.decided, wide, size=9))
    if sheet.decision:
        story.append(Sentence(sheet.decision, wide, lead=_("Reasons"), lead_room=LEAD, size=9))
    else:
        story.append(WritingLines(_("reasons"), wide, 2))
    story.append(SignatureLines([(_("referee"), ""), (_("for the record book"), ""), (_("date"), "")], wide, SIGNED))
    return page.pdf(story)


def _claimed(sheet: ClaimSheet) -> str:
    words = {"says": sheet.says, "mark": sheet.mark, "wind": sheet.wind}
    return (_("%(says)s: %(mark)s, wind %(wind)s") if sheet.wind else _("%(says)s: %(mark)s")) % words


def _who(sheet: ClaimSheet) -> list[Box]:
    return [Box(_("athlete"), 3, sheet.name), Box(_("school"), 3, sheet.school), Box(_("bib"), 1, sheet.bib)]


def _conditions(sheet: ClaimSheet, page: Page) -> list[Flowable]:
    """What must be confirmed, each by the official who saw to it. Place of the gauge: published officials' texts."""
    board = _(
        "Runway, take-off board and landing area were as the rules ask; the sand lay level with the runway. "
        "The distance from the take-off line to the sand was measured and agrees with the board in use."
    )
    measured = _(
        "The jump was measured at once, square to the take-off line, from the nearest break in the sand, with a "
        "checked steel tape or a device, to the full centimetre or quarter inch below; the reading was read back."
    )
    wind = _(
        "The gauge stood 20 m from the line, 1.22 m high and within 2 m of the runway, and was read for 5 seconds "
        "as this athlete ran; the reading is the one stated above."
    )
    parts = [
        *_condition(page, _("Board and runway"), board, [(_("take-off judge"), sheet.board_by), (_("date, time"), "")]),
        *_condition(page, _("Measuring"), measured, [(_("measurer"), sheet.measured_by), (_("second witness"), "")]),
    ]
    if sheet.needs_wind:
        return [
            *parts,
            *_condition(page, _("Wind"), wind, [(_("gauge operator"), sheet.wind_by), (_("gauge no."), "")]),
        ]
    without = _("This book needs no wind reading: the record is kept with what is known of the wind.")
    return [*parts, Spacer(0, 4 * mm), Sentence(without, page.width, lead=_("Wind"), size=9)]


def _condition(page: Page, title: str, says: str, signs: Sequence[tuple[str, str]]) -> list[Flowable]:
    return [
        Spacer(0, 4 * mm),
        Sentence(title, page.width, size=11, strong=True),
        Sentence(says, page.width, size=9),
        SignatureLines(list(signs), page.width, SIGNED),
    ]
