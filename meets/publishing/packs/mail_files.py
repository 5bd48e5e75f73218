"""Letters as files, one each, that any mail program opens: what is used until a mail server is named."""

import os
import re
from pathlib import Path

from django.conf import settings
from django.core.mail.backends.base import BaseEmailBackend

NOT_IN_A_NAME = re.compile(r"[^a-zA-Z0-9.-]+")


class EmailBackend(BaseEmailBackend):
    """Writes each letter whole or not at all, under its Message-ID: sent again, it takes its own place."""

    def send_messages(self, email_messages) -> int:
        folder = Path(settings.EMAIL_FILE_PATH)
        folder.mkdir(parents=True, exist_ok=True)
        for message in email_messages:
            whole = message.message()
            name = file_name(whole["Message-ID"])
            unfinished = folder / f"{name}.part"
            with unfinished.open("wb") as file:
                file.write(whole.as_bytes(linesep="\r\n"))
                file.flush()
                os.fsync(file.fileno())
            unfinished.replace(folder / name)
        return len(email_messages)


def file_name(message_id: str) -> str:
    """The name of the file of a letter."""
    return f"{NOT_IN_A_NAME.sub('-', message_id.partition('@')[0]).strip('-')}.eml"
