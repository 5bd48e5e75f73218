"""The sentences that the scripts of the phone say, by key; {placeholders} are filled in there.

Numbers stand where no plural is needed: a phone has no rules of plurals for every language.
"""

from collections.abc import Mapping

from django.utils.translation import gettext_lazy as _

from meets.pit.phone.shell.screen_words import SCREENS

FRAME: Mapping[str, str] = {
    # How things stand
    "to_send": _("On this phone. {n} to send."),
    "all_sent": _("All sent."),
    "not_saved": _("Not saved: write it on paper."),
    "out_of_reach": _("The server is out of reach. Go on: everything is kept on this phone."),
    "mode_https": _("Works without signal"),
    "mode_getting_ready": _("Getting ready to work without signal. Keep this page open for a moment."),
    "mode_http": _("Keep this page open; nothing saved is lost"),
    "waiting_for_state": _("Waiting for the server to say who is up."),
    # Coming in
    "who_writes": _("Who is writing?"),
    "your_name": _("Your name"),
    "come_in": _("Come in"),
    "write_now": _("Start writing"),
    "scan_code": _("Scan the code of this pit with the camera of the phone, or type what stands below it."),
    "code_typed": _("Text below the code"),
    "no_code": _("This is no code of a pit. Scan it with the camera, or type what stands below it."),
    "name_missing": _("Write your name: every row of the log says who wrote it."),
    "not_reached": _("The server cannot be reached. Move closer to it or wait, then press again."),
    "which_session": _("Which pit are you at?"),
    "which_role": _("What do you do here?"),
    "role_recorder": _("Recorder"),
    "role_second": _("Second recorder"),
    "role_gauge": _("Wind gauge operator"),
    "role_referee": _("Referee"),
    "role_display": _("Display for athletes"),
    # What somebody has to know
    "no_store": _("This phone cannot keep anything"),
    "no_store_why": _(
        "The browser of this phone refuses to store: a private window, or a full phone. Do not record here. "
        "Take another phone with the same code, or paper. What was sent before is safe on the server."
    ),
    "once_more": _("Try again"),
    "let_out": _(
        "The server does not let this phone in any more. Everything saved is still on this phone. "
        "Scan the code again, or save the entries as a file for the desk."
    ),
    "lost_some": _(
        "The browser has deleted what it stored here. Of {given} entries {back} came back; {n} are missing "
        "unless they had been sent. The desk sees which: look at the paper."
    ),
    "lost_none": _("The browser has deleted what it stored here. All {given} entries came back and are sent again."),
    "little_room": _("This phone has little room left. Delete pictures or films, or take another phone."),
    "home_screen": _("On this phone pages may be forgotten. Add this one to the Home Screen and open it from there."),
    "stuck": _("{n} saved here cannot be read by the server. Save the entries as a file and bring it to the desk."),
    "in_review": _("{n} sent, and waiting for the desk to look."),
    "clock_off": _("The clock of this phone is wrong: it is {time}. The times of entries are put right."),
    # Less often
    "this_phone": _("Phone {n}"),
    "writes_now": _("Writing: {name}"),
    "somebody_else": _("Somebody else writes"),
    "other_place": _("Another pit or role"),
    "scan_again": _("Scan the code again"),
    "save_file": _("Save the entries as a file"),
    "file_name": _("phone-{n}-entries.json"),
    "newer": _("Take the newer version of this page"),
    "seen": _("Understood"),
    "back": _("Back"),
}

WORDS: Mapping[str, str] = {**FRAME, **SCREENS}
