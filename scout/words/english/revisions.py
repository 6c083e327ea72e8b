"""What a print says of its place among the revisions."""

MESSAGES = {
    "packet.one_page": "{page}",
    "packet.pages": "{first} to {last}",
    "packet.swap": (
        "Swap one page of revision {since}: {pages}.",
        "Swap {n} pages of revision {since}: {pages}.",
        "n",
    ),
    "packet.swap_out": "Of revision {since} take out {out}.",
    "packet.swap_in": "Into revision {since} put {into}.",
    "packet.swap_both": "Of revision {since} take out {out}; put in {into}.",
    "packet.swap_none": "No page differs from revision {since}.",
    "link.not_by_link": "the edition {edition} holds what others may not read, and goes by no link",
    "link.revoked": "The link is revoked: whoever holds it finds nothing.",
    "link.wrong": "is not the passphrase of this link",
    "revision.last": "Revision {n} is the last.",
    "revision.newer": "Revision {n} is out of date: the last is revision {newest}.",
    "revision.other_edition": "This edition is not printed in revision {newest} yet.",
    "revision.code_anew": "Codes on paper printed so far lead nowhere now; print again for new ones.",
    "revision.template_gone": "Template {name} is gone; what was printed by it stays.",
    "revision.no_template": "is no template of this production; it has: {names}",
    "revision.no_templates": "is no template of this production; none is kept yet",
    "setting.no_address": "is not an address such as https://scout.example.org",
}
