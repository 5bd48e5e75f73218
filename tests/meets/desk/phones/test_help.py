"""The help page says what the phone says."""

import re
from html import unescape

from django.urls import reverse

from meets.pit.phone.shell.words import FRAME


def test_every_sentence_that_is_explained_is_one_that_the_phone_says(client, db):
    page = client.get(reverse("help:page", args=["phones"])).text
    (said,) = re.findall(r'<dl class="help-list" id="said">(.*?)</dl>', page, re.DOTALL)
    explained = [unescape(words) for words in re.findall(r"<dt>(.*?)</dt>", said)]
    assert len(explained) >= 6
    assert [words for words in explained if words not in {str(known) for known in FRAME.values()}] == []
