"""The help page says what the phone says."""

import re
from html import unescape

from django.urls import reverse

from meets.pit.phone.shell.words import FRAME


def test_what_is_explained_is_what_the_phone_says(client, db):
    page = client.get(reverse("help:page", args=["phones"])).text
    (said,) = re.findall(r'<dl class="help-list" id="said">(.*?)</dl>', page, re.DOTALL)
    explained = [unescape(words) for words in re.findall(r"<dt>(.*?)</dt>", said)]
    keys = ("all_sent", "to_send", "out_of_reach", "not_saved", "let_out", "in_review", "little_room")
    assert explained == [str(FRAME[key]).replace("{n}", "3") for key in keys]
