"""What the command line refuses of its own accord."""

MESSAGES = {
    "command.no_more": "{email} may log in no more; their sessions are ended",
    "command.years": "is outside the years {first} to {last}",
    "command.unread": "cannot be read: {why}",
    "command.no_file": "is not a file that can be read",
    "command.no_database": "there is no database in {folder}; `scout demo` or `scout serve` makes one",
    "command.not_fresh": "is not empty; the demonstration wants a fresh folder",
    "command.before_date": "is before --date, {on}",
    "command.too_many_days": "is more than {most} days after --date",
    "command.within": "must be from -{most} to {most}",
    "command.date_or_time": "give a date with --date, a time with --at, or both",
    "command.not_utf8": "is not UTF-8 text",
    "command.room_or_all": "give a room's number, or --all and no room",
    "command.name_archive": "name the archive to write, such as -o sillbook.zip",
    "command.archive_cut": "{file} begins as an archive and does not end as one: it was cut short",
    "command.cannot_listen": "cannot listen on {address}: {why}; choose another with --host or --port",
    "command.no_address": "it is no address",
}
