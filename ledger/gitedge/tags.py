"""The tags of entries. All that a tag says comes from its entry, so that anybody makes the same one again."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import UTC, datetime, time
from typing import TYPE_CHECKING, TypeVar

from ledger.gitedge.history import first_with
from ledger.model.entry import Alteration, Entry

if TYPE_CHECKING:
    from ledger.gitedge.repository import Repository

_Key = TypeVar("_Key")
#: Where the tags of entries stand.
KINDS = ("refs/tags/pass", "refs/tags/lock", "refs/tags/alteration")


def tag_of(entry: Entry) -> str:
    """The name of an entry's tag; "" for the kinds that have none."""
    return str(getattr(entry, "tag", ""))


def ref_of(tag: str) -> str:
    """The full name of a tag."""
    return f"refs/tags/{tag}"


def tag_message(entry: Entry) -> str:
    """What a tag says: the entry's name, and its message or reason."""
    why = entry.reason if isinstance(entry, Alteration) else entry.message
    return f"{entry.name}: {why}" if why else entry.name


def write_tag(repo: Repository, entry: Entry, commit: str) -> str:
    """Writes the tag object of an entry on a commit; gives its id. No ref is made."""
    said = f"object {commit}\ntype commit\ntag {tag_of(entry)}\ntagger {_tagger(entry)}\n\n{tag_message(entry)}\n"
    return repo.run("mktag", input=said.replace("\0", " ").encode("utf-8", "replace")).decode().strip()


def _tagger(entry: Entry) -> str:
    """`name <address> seconds +hhmm`, as git writes who and when. A day alone counts from its midnight, UTC."""
    name, _, address = entry.by.partition("<")
    plain = [" ".join(word.replace("<", " ").replace(">", " ").split()) for word in (name, address)]
    when = entry.date if isinstance(entry.date, datetime) else datetime.combine(entry.date, time())
    aware = when if when.tzinfo else when.replace(tzinfo=UTC)
    # Git has no time before 1970.
    return f"{plain[0] or 'unknown'} <{plain[1]}> {max(0, int(aware.timestamp()))} {aware.strftime('%z')[:5]}"


def make_missing_tags(repo: Repository, entries: Iterable[Entry]) -> tuple[str, ...]:
    """Makes the tags that are missing, each on the oldest commit that holds its entry's bytes; gives their names.

    Entries that the newest commit does not hold have none yet. Raises Refusal where git can't write.
    """
    found = missing_tags(repo, entries)
    lines = "".join(f"create {ref_of(tag)} {oid}\n" for tag, oid in found.items())
    if lines:
        from ledger.gitedge.journal import held

        # Whatever becomes of us, git ends what it began, and the next command waits for it.
        with held(repo, index=False) as journal:
            repo.ask("update-ref", "--stdin", input=lines.encode(), check=True, holding=journal.file)
    return tuple(found)


def missing_tags(repo: Repository, entries: Iterable[Entry]) -> dict[str, str]:
    """Tag -> id of the tag object, written but not yet referred to, for entries whose tag is not there."""
    tagged = {tag: entry for entry in entries if (tag := tag_of(entry))}
    there = tags_there(repo) if tagged else {}
    without = {tag: entry for tag, entry in tagged.items() if tag not in there}
    if not without:
        return {}
    bytes_of = recorded_as(repo, [entry.path for entry in without.values()])
    commits = first_with(repo, bytes_of)
    return {tag: write_tag(repo, entry, commits[entry.path]) for tag, entry in without.items() if entry.path in commits}


def tags_there(repo: Repository) -> Mapping[str, str]:
    """Name -> id of every tag of an entry's kind."""
    said = repo.run("for-each-ref", "--format=%(refname) %(objectname)", *KINDS).decode("utf-8", "surrogateescape")
    pairs = (line.rpartition(" ") for line in said.splitlines())
    return {name.removeprefix("refs/tags/"): oid for name, _, oid in pairs}


def recorded_as(repo: Repository, paths: Iterable[str], rev: str = "HEAD") -> dict[str, str]:
    """Path -> object id in a commit, for the paths that it holds."""
    return _objects_at(repo, {path: f"{rev}:{path}" for path in paths})


def tagged_as(repo: Repository, tags: Mapping[str, str]) -> dict[str, str]:
    """Tag -> object id of its entry in the commit that it stands on; `tags` gives the path of each entry."""
    return _objects_at(repo, {tag: f"{ref_of(tag)}^{{commit}}:{path}" for tag, path in tags.items()})


def files_at_tags(repo: Repository, tags: Iterable[str], folders: Sequence[str]) -> dict[str, dict[str, str]]:
    """Tag -> path -> object id of what these folders ("" for the top one) hold in the commit that it stands on."""
    return {
        tag: {
            f"{folder}/{name}" if folder else name: oid
            for folder in folders
            for name, oid in repo.reader.folder(f"{ref_of(tag)}^{{commit}}:{folder}").items()
        }
        for tag in tags
    }


def _objects_at(repo: Repository, names: Mapping[_Key, str]) -> dict[_Key, str]:
    asked = "".join(f"{name}\n" for name in names.values()).encode("utf-8", "surrogateescape")
    said = repo.run("cat-file", "--batch-check=%(objectname)", input=asked, check=False).decode().split("\n")
    return {key: oid for key, oid in zip(names, said, strict=False) if " " not in oid and oid}


def moved_tags(
    repo: Repository, entries: Iterable[Entry], known: Callable[[str, str], str | None] = lambda commit, path: None
) -> tuple[tuple[str, str], ...]:
    """(tag, path of the entry) of the tags whose commit does not hold the bytes of their entry.

    `known` gives the object id that a commit is known to hold under a path, None where git has to be asked: most tags
    stand on the commit that recorded their entry, which whoever followed history has met.
    """
    there = _tagged_commits(repo)
    tagged = {tag: entry.path for entry in entries if (tag := tag_of(entry)) in there}
    at_tags = {tag: oid for tag, path in tagged.items() if (oid := known(there[tag], path))}
    here = {path: oid for path in tagged.values() if (oid := known("HEAD", path))}
    asked = {(path, ""): f"HEAD:{path}" for path in tagged.values() if path not in here}
    asked |= {(p, tag): f"{ref_of(tag)}^{{commit}}:{p}" for tag, p in tagged.items() if tag not in at_tags}
    found = _objects_at(repo, asked) if asked else {}
    here |= {path: oid for (path, tag), oid in found.items() if not tag}
    at_tags |= {tag: oid for (_, tag), oid in found.items() if tag}
    return tuple((tag, path) for tag, path in tagged.items() if path in here and at_tags.get(tag) != here[path])


def _tagged_commits(repo: Repository) -> Mapping[str, str]:
    """Name of every tag of an entry's kind -> id of the commit under it, "" where another tag or no commit is."""
    form = "--format=%(refname) %(objecttype) %(objectname) %(*objecttype) %(*objectname)"
    said, code = repo.ask("for-each-ref", form, *KINDS)
    if code != 0:
        return dict.fromkeys(tags_there(repo), "")  # a tag object is lost; what stands is asked one by one
    found = {}
    for line in said.decode("utf-8", "surrogateescape").splitlines():
        name, kind, oid, below, commit = line.split(" ")
        found[name.removeprefix("refs/tags/")] = oid if kind == "commit" else commit if below == "commit" else ""
    return found
