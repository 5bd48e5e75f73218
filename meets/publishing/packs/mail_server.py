"""Django's mail through a server, knowing how far a letter came before something broke.

Up to the end of its data a letter is surely not delivered. Once that has been given over, a connection that breaks
says nothing: the server may have taken it.
"""

import smtplib

from django.core.mail.backends import smtp


class _Watched:
    """Notes when the data of a letter, with its end, has been given over."""

    given_over = False

    def sendmail(self, *args, **kwargs):
        self.given_over = False
        return super().sendmail(*args, **kwargs)

    def send(self, data):
        super().send(data)
        # Commands are text; only the data of a letter is bytes, and it ends with its end.
        self.given_over = self.given_over or isinstance(data, bytes)


class WatchedSMTP(_Watched, smtplib.SMTP):
    pass


class WatchedSMTPOverTLS(_Watched, smtplib.SMTP_SSL):
    pass


class EmailBackend(smtp.EmailBackend):
    """As Django's own; `given_over` after a failure says whether the letter may have arrived all the same."""

    @property
    def connection_class(self) -> type[smtplib.SMTP]:
        return WatchedSMTPOverTLS if self.use_ssl else WatchedSMTP

    @property
    def given_over(self) -> bool:
        return bool(self.connection and self.connection.given_over)

    def close(self) -> None:
        """Say goodbye; what becomes of a letter is known by then, so a server that does not answer changes nothing."""
        connection, self.connection = self.connection, None
        if connection is None:
            return
        try:
            connection.quit()
        except (OSError, smtplib.SMTPException):
            connection.close()
