"""Sending one letter through the installation's mail server."""

from __future__ import annotations

import smtplib
import ssl
from email.message import EmailMessage
from email.utils import make_msgid

from scout.errors import Unavailable
from scout.settings import MailServer, Settings
from scout.values import Said, said

PATIENCE_S = 15.0


def send(settings: Settings, to: str, about: Said, text: Said) -> None:
    """Send a plain letter. Raises Unavailable where the server is not there, refuses it, or would
    have it (and the password) go over the net unencrypted.
    """
    server = settings.mail
    if server is None:
        raise Unavailable(said("mail.not_set"))
    letter = EmailMessage()
    letter["From"], letter["To"], letter["Subject"] = server.sender, to, str(about)
    letter["Message-ID"] = make_msgid(domain=server.sender.rpartition("@")[2])
    letter["Auto-Submitted"] = "auto-generated"  # RFC 3834: no automatic answer is wanted
    letter.set_content(str(text))
    try:
        with _connected(server) as link:
            if server.user is not None:
                link.login(server.user, server.password or "")
            link.send_message(letter)
    except (OSError, smtplib.SMTPException, UnicodeError) as error:
        raise Unavailable(said("mail.not_sent")) from error


def _connected(server: MailServer) -> smtplib.SMTP:
    context = ssl.create_default_context()
    if server.tls == "from_the_start":
        return smtplib.SMTP_SSL(server.host, server.port, timeout=PATIENCE_S, context=context)
    link = smtplib.SMTP(server.host, server.port, timeout=PATIENCE_S)
    if server.tls == "started":
        try:
            link.starttls(context=context)
        except BaseException:
            link.close()
            raise
    return link
