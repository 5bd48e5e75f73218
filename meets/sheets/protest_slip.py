"""The slip for a protest or an incident: who, about what, what was decided and when."""

from __future__ import annotations

from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from reportlab.lib.units import mm
from reportlab.platypus import Spacer

from athletes.paper.parts import Box, Boxes, Sentence, SignatureLines, Ticks, WritingLines
from meets.sheets.documents import ProtestSlip
from meets.sheets.heading import page_for

BOX = 11 * mm


def protest_slip_pdf(slip: ProtestSlip) -> bytes:
    """One page, to be filled in by hand."""
    page = page_for(slip.about, _("Protest or incident"))
    wide = page.width
    within = ngettext(
        "A protest goes to the referee first: about a trial at once, by word of mouth, before the sand is raked; "
        "about a result within %(minutes)d minute of its posting.",
        "A protest goes to the referee first: about a trial at once, by word of mouth, before the sand is raked; "
        "about a result within %(minutes)d minutes of its posting.",
        slip.minutes,
    ) % {"minutes": slip.minutes}
    return page.pdf(
        [
            Sentence(within, wide, size=9),
            Spacer(0, 1.5 * mm),
            Ticks([_("protest about a trial"), _("protest about a result"), _("incident"), _("injury")], wide),
            Spacer(0, 1.5 * mm),
            Boxes([Box(_("time of protest or incident")), Box(_("result posted at")), Box(_("slip no."))], wide, BOX),
            Boxes(
                [Box(_("made by"), 2), Box(_("school"), 2), Box(_("as (athlete, teacher, official)"), 1.5)], wide, BOX
            ),
            Boxes(
                [
                    Box(_("about bib"), 1),
                    Box(_("name"), 2.5),
                    Box(_("round"), 0.8),
                    Box(_("mark or flag"), 1.2),
                    Box(_("measured under protest"), 1.5),
                    Box(_("wind"), 0.8),
                ],
                wide,
                BOX,
            ),
            Spacer(0, 3 * mm),
            WritingLines(_("what happened, and what is asked for"), wide, 7),
            WritingLines(_("seen by (names); for an injury: what was done, who was told"), wide, 2),
            SignatureLines([(_("made by"), ""), (_("taken by, time"), "")], wide, 11 * mm),
            Spacer(0, 5 * mm),
            Sentence(_("Referee's decision"), wide, size=11, strong=True),
            Ticks([_("upheld"), _("not upheld"), _("replacement trial"), _("goes on under protest")], wide),
            WritingLines(_("reasons"), wide, 4),
            Spacer(0, 3 * mm),
            Boxes(
                [Box(_("decided at")), Box(_("told to")), Box(_("announced at")), Box(_("result changed"))], wide, BOX
            ),
            SignatureLines([(_("referee"), ""), (_("appeal to the jury: time, by"), "")], wide, 12 * mm),
        ]
    )
