"""What the command line says and refuses of its own accord."""

MESSAGES = {
    "command.assessed": "{room}[, {place}], {on}[ ({zone})]",
    "command.ranked": "{room}: {met} of {of} required met[; first in {tenths} of 10]",
    "command.serves": "{scene}, {on}: {level}; {met} of {of} required met[; not: {needs}]",
    "command.scene_or_room": "give a scene's number, or --room and no scene",
    "command.measure": "Measure next: {fact}; changes {share:0} of choices",
    "look.or": "Or: {act}[ (colour cast {before} to {after})]",  # rivals are acts of colour
    "look.sun_of": "{on}[ ({zone})]",
    "look.event": "{event}: {at}",
    "look.low_sun": "low sun: {spells}",
    "look.blue_hours": "blue hours: {spells}",
    "look.day_length": "day: {length}",
    "look.moon": "moon[ rises {rises}][, sets {sets}], {lit:0} lit",
    "look.sun_at": "{at:when}: sun {height:1} high, at bearing {bearing:1}",
    "look.photo": "{file}: {format}, {width} x {height} pixels, {size}",
    "look.fact": "{fact}: {value}",
    "look.note": "note: {note}",
    "look.cautions": (
        "{n} caution to read before the day: see it with {option}",
        "{n} cautions to read before the day: see them with {option}",
        "n",
    ),
    "look.caution": "caution: {caution}",
    "look.packet": "revision {revision}, {pages} pages, {paper}, {units}: {file}",
    "look.left_over": (
        "{name} is named by nothing on record: an upload under way, or what was left of one. In"
        " the second case delete it"
    ),
    "look.taken_away": (
        "{count} file left over by what was cut off taken away",
        "{count} files left over by what was cut off taken away",
        "count",
    ),
    "look.files": ("{count} file left over", "{count} files left over", "count"),
    "look.photos": ("{count} photo", "{count} photos", "count"),
    "look.recordings": ("{count} recording", "{count} recordings", "count"),
    "look.packets": ("{count} packet", "{count} packets", "count"),
    "look.faults": ("{count} fault", "{count} faults", "count"),
    "look.checked": "{things} looked at, {faults}[, {left}]",
    "look.exported": "{file} holds everything, {originals} originals among it",
    "look.backed_up": "{file} holds everything, {originals} originals among it, and was read back",
    "look.backup_whole": "{file} is whole, {originals} originals in it",
    "move.done": "{rows} rows and {files} files are there and were compared; nobody could save for {closed:1}. Serve it with the settings given; here nothing is saved any more",
    "move.stopped": "people save here again",
    "move.none": "nothing was being moved from here",
    "look.written": "{file} written",
    "look.imported": "everything of {file} is here, {originals} originals among it",
    "look.demo": "Demonstration in {folder}; its packet, {pages} pages, is {file}",
    "look.demo_login": "Log in as {email} with the password {password}",
    "look.room_recorded": "room {room} recorded[; {left}]",
    "look.kit_left": "the kit stays out: it belongs to a production",
    "look.working": ("{n} worker prints packets", "{n} workers print packets", "n"),
    "look.served": "Sillbook is at {address}  (stop it with Ctrl-C)",
    "look.disk_full": (
        "the disk is full; what was being written was not kept, and what was kept before is whole."
        " Make room and try again"
    ),
    "look.unreadable": "{file} cannot be read or written: {why}",
    "look.failed": "it failed: {why}",
    "look.open_network": (
        "Anybody on this network reaches this address, and what is typed travels unencrypted."
        " A phone lends its camera, compass, position and microphone to HTTPS alone: add --https,"
        " or put a proxy with HTTPS before it and set SILLBOOK_HTTPS=1."
    ),
    "look.certificate": (
        "The certificate is of this program's own making, so each phone warns once. Go on only if it"
        " shows the SHA-256 fingerprint {fingerprint}. Pages without signal need it trusted in the"
        " phone's settings."
    ),
    "command.lan_or_host": "stands beside --lan, which finds the address itself; leave one of them out",
    "command.lan_nobody": (
        "nobody can log in yet, and on a network whoever came first would own everything."
        " Run `scout user add` first, or `scout serve` and open the page on this machine"
    ),
    "command.no_network": "this machine is on no network; name an address with --host",
    "look.token": "{key}  {name}, made {made:when}[, last used {used:when}]",
    "look.token_revoked": "token {key} is revoked",
    "look.may_log_in": "{email} may log in",
    "look.touched": "Direct sun on the {thing}: {when}",
    "look.contrast_unknown": "Windows against the face: unknown: {why}",
    "look.reflector": "a reflector {away} from the subject faces {bearing}, tilted up {tilt}[; aim again after {again}]",
    "look.reflector_unknown": "a reflector: {why}",
    "look.sun_is": "The sun is {way}: {when}",
    "look.steady": "Steady light on {on}, {spell}: {change:2}, {lux}[, {enough}]",
    "look.steady_unknown": "Steady light: unknown: {why}",
    "look.never_steady": "No {least} within {within} from {first} to {last}",
    "look.factor": "Daylight factor {height:size} above the floor: {span:2}, mean {mean:2}",
    "look.factor_unknown": "Daylight factor: unknown: {why}",
    "look.year": "{year}, {what}: {hours}",
    "command.role": "{email} is {role} now",
    "command.no_more": "{email} may log in no more; their sessions are ended",
    "workspace.no_name": "is no name for a workspace: small letters, digits and hyphens, 40 at the most",
    "workspace.no_host": "is no name a workspace can be reached by, such as mill.example.org;"
    " NAME.localhost it has by itself",
    "workspace.taken": "is there already; `scout workspace remove {name}` lets nobody reach it any more",
    "workspace.shared": "is what the workspace {name} has: two that share it would see each other's rooms",
    "workspace.none": "is no workspace of {folder}; `scout workspace list` names them",
    "workspace.not_set": "is not set: it names the folder in which the workspaces lie",
    "workspace.of_each": "would be shared by all workspaces; give it to each: `scout workspace add NAME {option}`",
    "workspace.which": "several workspaces lie in {folder}: say which, or name another folder by SILLBOOK_DATA",
    "workspace.by_name": "serves one group: say which by --workspace NAME. Several want a proxy in front that hands on"
    " the name that is asked for",
    "workspace.unreadable": "{file} does not say what a workspace is reached by",
    "workspace.added": "{name} is reached by {hosts}",
    "workspace.first_person": "Its first person: scout user add EMAIL --workspace {name}",
    "workspace.removed": "Nobody reaches {name} any more. All it holds stays in {folder}, until you delete it.",
    "command.no_hours": "is when the scene begins; give a later time, or an earlier one of the next day",
    "command.next_day": "--until {ends} is before --from {begins}: it is taken for the next day",
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
    "command.bench_no_browser": "no Chromium, or Playwright is not installed: what a browser measures is left out",
    "command.cannot_listen": "cannot listen on {address}: {why}; choose another with --host or --port",
    "command.no_address": "it is no address",
}
