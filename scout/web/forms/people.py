"""The forms of who may log in."""

from __future__ import annotations

from scout.errors import Refused, RefusedMany
from scout.records import Invited, LinkRecord, Named, Person, TokenRecord
from scout.records.people import Role
from scout.web.forms.base import RecordForm, Section
from scout.web.forms.fields import (
    ChoiceField,
    EmailField,
    OnceField,
    PasswordField,
    TextField,
    WholeField,
)


class LoginForm(RecordForm[Person]):
    """Address and password."""

    record_type = Person

    email = EmailField("E-mail", needed=True)
    password = PasswordField("Password", needed=True)

    sections = (Section("", ("email", "password")),)


class FirstUserForm(RecordForm[Person]):
    """The first person who may log in."""

    record_type = Person

    name = TextField("Your name", needed=True)
    email = EmailField("E-mail", needed=True)
    password = PasswordField(
        "Password", needed=True, autocomplete="new-password", hint="ten characters or more"
    )
    again = PasswordField("Password, once more", needed=True, autocomplete="new-password")

    sections = (Section("", ("name", "email", "password", "again")),)

    def record(self) -> Person:
        """The person. Raises RefusedMany, also when the two passwords differ."""
        refusals = (
            []
            if self.password.text == self.again.text
            else [Refused("again", None, "is not the same as the password")]
        )
        try:
            person = super().record()
        except RefusedMany as many:
            raise RefusedMany([*many.refusals, *refusals]) from None
        if refusals:
            raise RefusedMany(refusals)
        return person


class TokenForm(RecordForm[TokenRecord]):
    """A new token."""

    record_type = TokenRecord

    name = TextField("What it is for", needed=True, hint="a phone's shortcut, a script")

    sections = (Section("", ("name",)),)


class LinkForm(RecordForm[LinkRecord]):
    """A new link."""

    record_type = LinkRecord

    name = TextField("Whom it is for", needed=True, hint="a driver, the owner, the client")
    days = WholeField("Ends after", unit="days", needed=True, hint="1 to 366")
    passphrase = PasswordField(
        "Passphrase",
        autocomplete="new-password",
        hint="eight characters or more; tell it by another way than the link",
    )

    sections = (Section("", ("name", "days", "passphrase")),)


class PassphraseForm(RecordForm[LinkRecord]):
    """The passphrase of a link."""

    record_type = LinkRecord

    passphrase = PasswordField("Passphrase", needed=True, autocomplete="off")

    sections = (Section("", ("passphrase",)),)


class InviteForm(RecordForm[Invited]):
    """Somebody who is to come in."""

    record_type = Invited

    name = TextField("Name", needed=True, hint="shown beside what they record")
    email = EmailField("E-mail", needed=True)
    role = ChoiceField("Role", Role, "person_role", needed=True, none="choose")

    sections = (Section("", ("name", "email", "role")),)


class JoinForm(RecordForm[Person]):
    """A password chosen, typed twice."""

    record_type = Person

    new = PasswordField(
        "New password", needed=True, autocomplete="new-password", hint="ten characters or more"
    )
    again = PasswordField("New password, once more", needed=True, autocomplete="new-password")

    sections = (Section("", ("new", "again")),)

    def wanted(self) -> str:
        """The new password. Raises Refused when it was not typed the same twice."""
        if self.new.text != self.again.text:
            raise Refused("again", None, "is not the same as the new password")
        return str(self.new.text)


class PasswordForm(JoinForm):
    """A new password beside the present one."""

    old = PasswordField("Present password", needed=True)

    sections = (Section("", ("old", "new", "again")),)


class LeaveForm(RecordForm[Person]):
    """The password once more, of somebody who means to leave."""

    record_type = Person

    old = PasswordField("Present password", needed=True)

    sections = (Section("", ("old",)),)


class NamedForm(RecordForm[Named]):
    """Somebody who is to be erased, as lists and notes name them."""

    record_type = Named

    name = TextField("Name", needed=True, hint="as it stands among contacts, crew or changes")
    email = EmailField("E-mail", hint="of their account, where they have one")
    phone = TextField("Phone")

    sections = (Section("", ("name", "email", "phone")),)


class CodeForm(RecordForm[Person]):
    """A code from a phone, or one for the day the phone is lost."""

    record_type = Person

    code = OnceField("Code", needed=True)

    sections = (Section("", ("code",)),)
