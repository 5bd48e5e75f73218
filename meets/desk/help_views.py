from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.template import TemplateDoesNotExist
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_GET

from meets.desk.meet.reads import age_scheme_choices, rule_set_choices
from meets.pit.phone.shell.words import FRAME

# Name in the address, template, title, and what it is about in one line.
PAGES = (
    ("set-up", "help/set-up.html", _("Setting a meet up"), _("From the name to the first jump, in order.")),
    ("entries", "help/entries.html", _("Entries"), _("Entry files, what is checked, what is asked.")),
    ("ages", "help/ages.html", _("Age groups"), _("Which day decides, and what is asked about an age.")),
    ("draw", "help/draw.html", _("The draw"), _("Flights, order, the seed, and drawing again.")),
    ("phones", "help/phones.html", _("Officials' phones"), _("Codes, rain, no signal, and what is not promised.")),
    ("field", "help/field.html", _("The laptop at the field"), _("What to bring, two ways, power, rain, if it dies.")),
    ("recording", "help/recording.html", _("Recording"), _("At the pit, on a phone, tablet or laptop.")),
    ("paper_grid", "help/paper_grid.html", _("Typing in paper sheets"), _("Keys, notation, and the second typing.")),
    ("event", "help/event.html", _("The page of an event"), _("What it shows, and every decision of the officials.")),
    ("cut", "help/cut.html", _("The cut and the order"), _("Who goes on, why, and who decides it.")),
    ("corrections", "help/corrections.html", _("Corrections and the log"), _("Nothing is lost, nothing is changed.")),
    ("packs", "help/packs.html", _("Packs for schools"), _("What a school is sent, letters, certificates, labels.")),
    ("places", "help/places.html", _("Places and points"), _("How places are settled, ties, teams.")),
    ("records", "help/records.html", _("Records and standards"), _("Books, claims, steps of an award, bests.")),
    ("publishing", "help/publishing.html", _("Publishing results"), _("Provisional, official, amended; protests.")),
)  # fmt: skip
TEMPLATES = {name: template for name, template, _title, _about in PAGES}


@require_GET
def index(request: HttpRequest) -> HttpResponse:
    return render(request, "help/index.html", {"pages": PAGES})


@require_GET
def page(request: HttpRequest, name: str) -> HttpResponse:
    """A help page for people, with the rule sets, the age schemes and the words of phones as they are."""
    if name not in TEMPLATES:
        raise Http404
    phone = {key: str(words).replace("{n}", "3") for key, words in FRAME.items()}
    context = {"pages": PAGES, "rule_sets": rule_set_choices(), "age_schemes": age_scheme_choices(), "phone": phone}
    try:
        return render(request, TEMPLATES[name], context)
    except TemplateDoesNotExist as missing:
        raise Http404 from missing
