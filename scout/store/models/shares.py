"""Links under which somebody who may not log in sees one thing."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import ForeignKey, Index, String
from sqlalchemy.orm import Mapped, mapped_column

from scout.store.models.base import Base, UtcDateTime


class Link(Base):
    """A private address of a print, of the days or of a choice of room. Of its token and its
    passphrase only hashes are kept; it ends by itself.
    """

    __tablename__ = "link"
    __table_args__ = (Index(None, "production_id", "id"),)
    id: Mapped[int] = mapped_column(primary_key=True)
    production_id: Mapped[int] = mapped_column(ForeignKey("production.id", ondelete="CASCADE"))
    kind: Mapped[str] = mapped_column(String(12))
    record_id: Mapped[int]  # of a print, a production or a scene, as the kind says
    name: Mapped[str] = mapped_column(String(300))  # whom it is for
    token_sha256: Mapped[str] = mapped_column(String(64), unique=True)
    passphrase_hash: Mapped[str | None] = mapped_column(String(300))
    made_at: Mapped[datetime] = mapped_column(UtcDateTime)
    made_by: Mapped[str | None] = mapped_column(String(300))
    ends_at: Mapped[datetime] = mapped_column(UtcDateTime)
    revoked_at: Mapped[datetime | None] = mapped_column(UtcDateTime)
    opened: Mapped[int] = mapped_column(default=0)
    opened_at: Mapped[datetime | None] = mapped_column(UtcDateTime)  # the last time
