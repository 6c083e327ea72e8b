"""What is kept so that the database alone does not tell it: sealed under a key that is made of the
installation's secret, which lies elsewhere (AES-256-GCM, NIST SP 800-38D; HKDF, RFC 5869).

A sealed text names its key by a print, so that one of another installation is told from damage.
"""

from __future__ import annotations

import hashlib
import secrets
from base64 import urlsafe_b64decode, urlsafe_b64encode

from scout.settings import Settings

FORM, NONCE_BYTES = "1", 12


class CannotOpen(Exception):
    """Sealed under another secret, or not what was sealed."""


def key_of(settings: Settings) -> bytes:
    """The key of an installation; 32 bytes."""
    from cryptography.hazmat.primitives.hashes import SHA256  # loaded where it is needed alone
    from cryptography.hazmat.primitives.kdf.hkdf import HKDF

    made = HKDF(SHA256(), length=32, salt=None, info=b"sillbook gate codes 1")
    return made.derive(settings.session_key().encode())


def seal(key: bytes, of: str, text: str) -> str:
    """A text that only the key opens, and only as that of `of`."""
    from cryptography.hazmat.primitives.ciphers.aead import AESGCM

    nonce = secrets.token_bytes(NONCE_BYTES)
    body = nonce + AESGCM(key).encrypt(nonce, text.encode(), of.encode())
    return f"{FORM}.{_print(key)}.{urlsafe_b64encode(body).decode()}"


def opened(key: bytes, of: str, sealed: str) -> str:
    """What was sealed. Raises CannotOpen."""
    from cryptography.exceptions import InvalidTag
    from cryptography.hazmat.primitives.ciphers.aead import AESGCM

    form, _, rest = sealed.partition(".")
    mark, _, body = rest.partition(".")
    if form != FORM or mark != _print(key):
        raise CannotOpen
    try:
        whole = urlsafe_b64decode(body)
        text = AESGCM(key).decrypt(whole[:NONCE_BYTES], whole[NONCE_BYTES:], of.encode())
    except (InvalidTag, ValueError):
        raise CannotOpen from None
    return text.decode()


def _print(key: bytes) -> str:
    return hashlib.sha256(b"print " + key).hexdigest()[:8]
