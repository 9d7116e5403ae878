"""What may happen to a user's folder. Names and SHA-256 are checked with the standard library; the rest is ours."""

import errno
import hashlib
import json
import os
import stat
from datetime import date
from itertools import product
from pathlib import PurePath

import pytest
from calls import calls_in
from examples import TIMES
from hypothesis import given
from hypothesis import strategies as st

from progdoc.app.disk.output_folder import (
    Difference,
    ManifestInfo,
    State,
    WriteResult,
    faults_of_names,
    verify_set,
    write_complete,
    write_set,
)
from progdoc.app.file_faults import FILE_FAULTS
from progdoc.app.manifest import and_manifests, is_safe_name
from progdoc.core.diagnostics import Audience

INFO = ManifestInfo(revision="3", on=date(2026, 11, 24), version="0.1.0", rules_version="2026.1")
NEXT = ManifestInfo(revision="4", on=date(2026, 12, 1), version="0.1.0", rules_version="2026.1")
OLD = {
    "program.md": b"old program",
    "gaps.md": b"the same gaps",
    "tasks/scrape-sashes.html": b"scrape",
    "forms/fit-test.html": b"form",
    "restricted/cards/jo-marsh.html": b"old card",
}
NEW = {
    "program.md": b"new program",
    "gaps.md": b"the same gaps",
    "tasks/strip-doors.html": b"strip",
    "restricted/cards/jo-marsh.html": b"new card",
    "restricted/calendar.ics": b"calendar",
}
STAGING = ".progdoc-new"


def tree(folder):
    """Every file and its bytes, but what is staged."""
    paths = (path for path in folder.rglob("*") if path.is_file() and STAGING not in path.parts)
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in paths}


def folders(folder):
    return sorted(path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_dir())


def without_manifests(files):
    return {name: data for name, data in files.items() if not name.endswith("manifest.json")}


def codes(faults):
    assert isinstance(faults, list), faults
    return [fault.code for fault in faults]


@pytest.fixture(autouse=True)
def no_waiting_for_the_disk(monkeypatch):
    """Thousands of sets are written here. That progdoc does wait is a test of its own."""
    monkeypatch.setattr(os, "fsync", lambda descriptor: None)


@pytest.fixture
def out(tmp_path):
    folder = tmp_path / "out"
    assert isinstance(write_set(folder, OLD, INFO), WriteResult)
    return folder


# ---- the set and its manifest -------------------------------------------------------------------------


def test_a_first_set(tmp_path):
    folder = tmp_path / "deep" / "out"
    result = write_set(folder, OLD, INFO)
    assert without_manifests(tree(folder)) == OLD
    assert result == WriteResult(
        written=tuple(sorted([*OLD, "manifest.json", "restricted/manifest.json"])),
        unchanged=(),
        removed=(),
        mended=False,
        manifest_sha256=hashlib.sha256((folder / "manifest.json").read_bytes()).hexdigest(),
    )
    assert verify_set(folder) == []
    assert not (folder / STAGING).exists()


def test_the_manifests_list_every_file_with_its_hash(out):
    public = json.loads((out / "manifest.json").read_bytes())
    restricted = json.loads((out / "restricted/manifest.json").read_bytes())
    for manifest in (public, restricted):
        told = {key: manifest[key] for key in ("format", "revision", "on", "progdoc", "rules")}
        assert told == {
            "format": "progdoc-manifest/1",
            "revision": "3",
            "on": "2026-11-24",
            "progdoc": "0.1.0",
            "rules": "2026.1",
        }
    on_disk = {name: hashlib.sha256(data).hexdigest() for name, data in tree(out).items()}
    assert public["files"] | restricted["files"] | {"manifest.json": on_disk["manifest.json"]} == on_disk


def test_the_public_manifest_gives_away_no_name(out):
    assert b"jo-marsh" not in (out / "manifest.json").read_bytes()


def test_the_public_part_can_be_handed_on_and_checked_without_the_restricted_one(out):
    for name in ("restricted/cards/jo-marsh.html", "restricted/manifest.json"):
        (out / name).unlink()
    assert verify_set(out) == [Difference("restricted/manifest.json", State.MISSING)]


def test_the_order_of_the_files_does_not_change_a_byte(tmp_path):
    write_set(tmp_path / "a", OLD, INFO)
    write_set(tmp_path / "b", dict(reversed(OLD.items())), INFO)
    assert tree(tmp_path / "a") == tree(tmp_path / "b")


def test_a_second_set_replaces_the_first(out):
    result = write_set(out, NEW, NEXT)
    assert without_manifests(tree(out)) == NEW
    assert result.removed == ("forms/fit-test.html", "tasks/scrape-sashes.html")
    assert result.unchanged == ("gaps.md",)
    assert folders(out) == ["restricted", "restricted/cards", "tasks"]
    assert verify_set(out) == []


def test_the_same_set_again_touches_nothing(out):
    before = {path: path.stat().st_mtime_ns for path in out.rglob("*")}
    result = write_set(out, OLD, INFO)
    assert (result.written, result.removed) == ((), ())
    assert {path: path.stat().st_mtime_ns for path in out.rglob("*")} == before


def test_a_deleted_file_is_written_again(out):
    (out / "program.md").unlink()
    assert verify_set(out) == [Difference("program.md", State.MISSING)]
    assert write_set(out, OLD, INFO).written == ("program.md",)


def test_restricted_files_are_for_their_owner(out):
    def mode(name):
        return stat.S_IMODE((out / name).stat().st_mode)

    assert mode("restricted") == mode("restricted/cards") == 0o700
    assert mode("restricted/cards/jo-marsh.html") == mode("restricted/manifest.json") == 0o600
    write_set(out, NEW, NEXT)
    assert mode("restricted/cards/jo-marsh.html") == 0o600
    mask = os.umask(0)
    os.umask(mask)
    assert mode("program.md") == 0o666 & ~mask


# ---- what is not ours ---------------------------------------------------------------------------------


def test_a_file_edited_by_hand_is_kept_and_the_message_says_what_to_do(out):
    (out / "program.md").write_bytes(b"own words")
    before = tree(out)
    (fault,) = faults = write_set(out, NEW, NEXT)
    assert codes(faults) == ["OUT-006"]
    assert fault.location.file == str(out / "program.md")
    for word in ("procedures", "own_sections", "--replace"):
        assert word in fault.fix
    assert tree(out) == before


def test_replace_gives_up_edited_files(out):
    (out / "program.md").write_bytes(b"own words")
    (out / "tasks/scrape-sashes.html").write_bytes(b"own words in a page that goes")
    assert codes(write_set(out, NEW, NEXT)) == ["OUT-006", "OUT-006"]
    assert isinstance(write_set(out, NEW, NEXT, replace=True), WriteResult)
    assert without_manifests(tree(out)) == NEW


def test_a_file_edited_into_what_it_will_be_is_no_fault(out):
    (out / "program.md").write_bytes(NEW["program.md"])
    assert isinstance(write_set(out, NEW, NEXT), WriteResult)


@pytest.mark.parametrize("replace", [False, True])
def test_a_foreign_file_is_never_overwritten(out, replace):
    (out / "tasks/strip-doors.html").write_bytes(b"mine")
    before = tree(out)
    assert codes(write_set(out, NEW, NEXT, replace)) == ["OUT-005"]
    assert tree(out) == before


def test_foreign_files_and_folders_elsewhere_are_left_alone(out):
    (out / "forms/notes.txt").write_bytes(b"mine")
    (out / "empty").mkdir()
    write_set(out, NEW, NEXT)
    assert (out / "forms/notes.txt").read_bytes() == b"mine"
    assert (out / "empty").is_dir()


def test_the_folder_of_the_description_will_do_if_nothing_collides(tmp_path):
    (tmp_path / "program.yaml").write_bytes(b"format: 1")
    assert isinstance(write_set(tmp_path, OLD, INFO), WriteResult)
    assert codes(write_set(tmp_path, NEW | {"program.yaml": b"x"}, NEXT)) == ["OUT-005"]
    assert (tmp_path / "program.yaml").read_bytes() == b"format: 1"


def test_a_folder_or_a_file_where_the_other_should_be(out):
    (out / "restricted/calendar.ics").mkdir()
    (out / "letters").write_bytes(b"mine")
    assert codes(write_set(out, NEW | {"letters/a.md": b"x"}, NEXT)) == ["OUT-005", "OUT-005"]


def test_the_output_is_a_file(tmp_path):
    (tmp_path / "out").write_bytes(b"mine")
    assert codes(write_set(tmp_path / "out", OLD, INFO)) == ["OUT-003"]
    assert (tmp_path / "out").read_bytes() == b"mine"


@pytest.mark.parametrize(
    "text",
    [
        b"{",
        b"[]",
        b'{"format": "another", "files": {}}',
        b'{"format": "progdoc-manifest/1", "files": {"../victim": "x"}}',
        b'{"format": "progdoc-manifest/1", "files": ["program.md"]}',
        b"\xff\xfe",
    ],
)
def test_a_manifest_that_is_not_ours(out, text):
    (out / "manifest.json").write_bytes(text)
    before = tree(out)
    assert codes(write_set(out, NEW, NEXT, replace=True)) == ["OUT-007"]
    assert tree(out) == before
    assert verify_set(out) == [Difference("manifest.json", State.ALTERED)]


def test_a_folder_without_a_manifest_is_foreign(out):
    (out / "manifest.json").unlink()
    assert verify_set(out) == [Difference("manifest.json", State.MISSING)]
    assert set(codes(write_set(out, OLD, INFO))) == {"OUT-005"}


def test_altered_files_are_found(out):
    (out / "gaps.md").write_bytes(b"no gaps at all")
    assert verify_set(out) == [Difference("gaps.md", State.ALTERED)]


def test_faults_that_name_people_are_restricted(out):
    (out / "restricted/cards/jo-marsh.html").write_bytes(b"x")
    (fault,) = write_set(out, NEW, NEXT)
    assert fault.audience == Audience.RESTRICTED


# ---- links and names ----------------------------------------------------------------------------------


@pytest.mark.parametrize("link", ["tasks", "program.md", "manifest.json", STAGING, "restricted"])
def test_nothing_is_written_through_a_link(tmp_path, link):
    outside = tmp_path / "outside"
    outside.mkdir()
    (outside / "victim").write_bytes(b"precious")
    folder = tmp_path / "out"
    folder.mkdir()
    is_file = "." in link[1:]
    (folder / link).symlink_to(outside / "victim" if is_file else outside)
    assert set(codes(write_set(folder, OLD, INFO, replace=True))) <= {"OUT-004", "OUT-007"}
    assert tree(outside) == {"victim": b"precious"}


def test_a_link_put_in_place_of_an_old_file_is_not_followed(out, tmp_path):
    (tmp_path / "victim").write_bytes(b"scrape")
    (out / "tasks/scrape-sashes.html").unlink()
    (out / "tasks/scrape-sashes.html").symlink_to(tmp_path / "victim")
    assert codes(write_set(out, NEW, NEXT, replace=True)) == ["OUT-004"]
    assert (tmp_path / "victim").read_bytes() == b"scrape"


@pytest.mark.parametrize(
    "name",
    [
        *("", "/etc/passwd", "../up.md", "a/../../b", "a//b", "a/", "./a", ".progdoc-new/files/a", ".PROGDOC-NEW"),
        *("C:\\a", "a\\b", "a\0b", "con", "tasks/NUL.html", "a.", "a ", "a?b", "\ud800", "x" * 256),
        *("manifest.json", "restricted/manifest.json"),
    ],
)
def test_names_that_could_leave_the_folder_or_not_be_written(tmp_path, name):
    assert codes(write_set(tmp_path / "out", {name: b"x"}, INFO)) == ["OUT-001"]
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize(
    "names",
    [
        ("tasks/a.html", "tasks/A.html"),
        ("Straße.md", "STRASSE.md"),
        ("caf\u00e9.md", "cafe\u0301.md"),
        ("tasks", "tasks/a.html"),
        ("MANIFEST.json", "a.md"),
    ],
)
def test_names_that_collide_on_some_disks(tmp_path, names):
    assert codes(write_set(tmp_path / "out", dict.fromkeys(names, b"x"), INFO)) == ["OUT-002"]
    assert not (tmp_path / "out").exists()


def test_no_file_is_held_while_the_next_is_made(tmp_path):
    folder = tmp_path / "out"
    put_away = []

    def made():
        for n in range(3):
            put_away.append(len([path for path in tmp_path.rglob("*.html") if path.read_bytes() == b"card"]))
            yield f"restricted/cards/{n}.html", b"card"

    done = write_complete(folder, and_manifests(made(), INFO))
    assert isinstance(done, WriteResult) and len(done.written) == 5
    assert put_away == [0, 1, 2]
    assert verify_set(folder) == []


def test_what_is_refused_while_files_are_made_leaves_everything_as_it_was(out):
    before = tree(out)
    (out / "program.md").write_bytes(b"own words")
    assert codes(write_complete(out, and_manifests(iter(NEW.items()), NEXT))) == ["OUT-006"]
    assert tree(out) == before | {"program.md": b"own words"}


def test_many_names_are_looked_at_in_proportion(tmp_path):
    """Each against the folders it lies in, never against all the others."""
    names = [f"restricted/cards/person-{n}.html" for n in range(800)]
    few, many = (
        calls_in(lambda: faults_of_names(tmp_path, names[:200])),
        calls_in(lambda: faults_of_names(tmp_path, names)),
    )
    assert many < 4.5 * few


def test_every_reason_is_told_in_one_run(out):
    (out / "program.md").write_bytes(b"own words")
    (out / "tasks/strip-doors.html").write_bytes(b"mine")
    assert codes(write_set(out, NEW, NEXT)) == ["OUT-005", "OUT-006"]


@given(st.text(alphabet=st.characters(exclude_categories=[]), max_size=12))
def test_a_safe_name_stays_inside_its_folder(name):
    if is_safe_name(name):
        assert os.path.normpath(name) == name.replace("/", os.sep)
        assert not PurePath(name).is_absolute()
        assert ".." not in name.split("/")


def test_every_fault_has_a_reason():
    assert all(name and why.endswith(".") for name, why in FILE_FAULTS.values())


# ---- crashes ------------------------------------------------------------------------------------------

CHANGES_THE_DISK = ("mkdir", "open", "write", "fsync", "replace", "unlink", "rmdir")


class PowerCut(BaseException):
    """Stops the run where it stands: no handler of progdoc may catch it."""


def interrupt(monkeypatch, step, fault, after):
    """Let the given step of all that change the disk fail, before or after it is done. Returns the step count."""
    count = [0]

    def wrap(original):
        def wrapped(*arguments, **options):
            count[0] += 1
            if count[0] != step:
                return original(*arguments, **options)
            if after:
                original(*arguments, **options)
            raise fault

        return wrapped

    for name in CHANGES_THE_DISK:
        monkeypatch.setattr(os, name, wrap(getattr(os, name)))
    return count


def steps_of_a_whole_run(folder):
    with pytest.MonkeyPatch.context() as patch:
        count = interrupt(patch, 0, PowerCut(), after=False)
        assert isinstance(write_set(folder, NEW, NEXT), WriteResult)
    return count[0]


def test_there_are_steps_to_interrupt(out):
    assert steps_of_a_whole_run(out) > 40


def check_mended(folder, old, new, interrupted):
    """After the interruption: the old set, or a state that is known to be unfinished; then a whole set."""
    state = tree(folder)
    if verify_set(folder) == [Difference(STAGING, State.INTERRUPTED)]:
        assert all(data in (old.get(name), new.get(name)) for name, data in state.items())
    else:
        assert state in (old, new)
        assert verify_set(folder) == []
    assert interrupted or state == new
    assert isinstance(write_set(folder, NEW, NEXT), WriteResult)
    assert tree(folder) == new
    assert verify_set(folder) == []
    assert not (folder / STAGING).exists()
    assert folders(folder) == ["restricted", "restricted/cards", "tasks"]


# With the step at which each begins: on each change every fourth, so that each step is stopped at in one of the ways.
WAYS_TO_STOP = [
    (fault, after, first)
    for first, (fault, after) in enumerate(
        product([PowerCut(), OSError(errno.EIO, "input/output error")], [False, True])
    )
]


@pytest.mark.parametrize(("fault", "after", "first"), WAYS_TO_STOP)
def test_a_crash_at_any_step_leaves_the_old_set_or_is_mended(tmp_path, fault, after, first):
    write_set(tmp_path / "old", OLD, INFO)
    write_set(tmp_path / "new", NEW, NEXT)
    old, new = tree(tmp_path / "old"), tree(tmp_path / "new")
    write_set(tmp_path / "count", OLD, INFO)
    total = steps_of_a_whole_run(tmp_path / "count")
    for step in range(1, total + 1) if TIMES > 1 else range(1 + first, total + 1, len(WAYS_TO_STOP)):
        folder = tmp_path / f"out{step}"
        write_set(folder, OLD, INFO)
        with pytest.MonkeyPatch.context() as patch:
            interrupt(patch, step, fault, after)
            try:
                interrupted = isinstance(write_set(folder, NEW, NEXT), list)
            except PowerCut:
                interrupted = True
        check_mended(folder, old, new, interrupted)


def test_a_crash_while_mending_is_mended_too(tmp_path):
    write_set(tmp_path / "new", NEW, NEXT)
    new = tree(tmp_path / "new")
    write_set(tmp_path / "count", OLD, INFO)
    total = steps_of_a_whole_run(tmp_path / "count")
    for step in range(total // 2, total, 3):
        folder = tmp_path / f"out{step}"
        write_set(folder, OLD, INFO)
        old = tree(folder)
        for again in (step, 2, 5):
            with pytest.MonkeyPatch.context() as patch:
                interrupt(patch, again, PowerCut(), after=True)
                try:
                    write_set(folder, NEW, NEXT)
                except PowerCut:
                    continue
        check_mended(folder, old, new, interrupted=True)


def stop_in_the_middle(folder):
    """Interrupt just after the first file of the new set went into place."""
    with pytest.MonkeyPatch.context() as patch:
        replace, count = os.replace, [0]

        def second_fails(*arguments):
            count[0] += 1
            if count[0] == 3:  # the first was the journal
                raise PowerCut
            replace(*arguments)

        patch.setattr(os, "replace", second_fails)
        with pytest.raises(PowerCut):
            write_set(folder, NEW, NEXT)


def test_a_half_placed_set_is_completed_before_another_one(out):
    stop_in_the_middle(out)
    assert verify_set(out) == [Difference(STAGING, State.INTERRUPTED)]
    result = write_set(out, OLD, INFO)
    assert result.mended
    assert without_manifests(tree(out)) == OLD
    assert verify_set(out) == []


def test_a_file_edited_after_the_crash_is_not_lost(out):
    stop_in_the_middle(out)
    (out / "restricted/calendar.ics").write_bytes(b"mine")
    (out / "program.md").write_bytes(b"own words")
    assert codes(write_set(out, NEW, NEXT)) == ["OUT-006", "OUT-006"]
    assert (out / "restricted/calendar.ics").read_bytes() == b"mine"
    assert (out / "program.md").read_bytes() == b"own words"


def test_an_old_file_edited_after_the_crash_is_kept_though_its_page_is_gone(out):
    stop_in_the_middle(out)
    (out / "tasks/scrape-sashes.html").write_bytes(b"own words")
    assert write_set(out, NEW, NEXT).mended
    assert (out / "tasks/scrape-sashes.html").read_bytes() == b"own words"


def test_a_name_that_changes_its_case(tmp_path):
    write_set(tmp_path, {"tasks/A.html": b"x"}, INFO)
    write_set(tmp_path, {"tasks/a.html": b"y"}, INFO)
    assert without_manifests(tree(tmp_path)) == {"tasks/a.html": b"y"}


@pytest.mark.parametrize("text", [b"x", b"y"])
def test_a_name_that_changes_its_case_on_a_disk_that_cannot_tell(tmp_path, text):
    write_set(tmp_path, {"tasks/A.html": b"x"}, INFO)
    os.link(tmp_path / "tasks/A.html", tmp_path / "tasks/a.html")  # one file under both names
    assert isinstance(write_set(tmp_path, {"tasks/a.html": text}, INFO), WriteResult)
    assert (tmp_path / "tasks/A.html").exists()
    assert (tmp_path / "tasks/a.html").read_bytes() == text


def test_a_forged_journal_leads_nowhere(out, tmp_path):
    (tmp_path / "victim").write_bytes(b"precious")
    told = hashlib.sha256(b"precious").hexdigest()
    (out / STAGING).mkdir()
    journal = {"format": "progdoc-journal/1", "moves": [["../victim", told, ""]]}
    (out / STAGING / "journal.json").write_text(json.dumps(journal), encoding="utf-8")
    assert isinstance(write_set(out, NEW, NEXT), WriteResult)
    assert (tmp_path / "victim").read_bytes() == b"precious"


def test_every_file_is_on_the_disk_before_the_first_one_is_replaced(out, monkeypatch):
    events = []
    replace = os.replace
    with monkeypatch.context() as patch:
        patch.setattr(os, "fsync", lambda descriptor: events.append("sync"))
        patch.setattr(os, "replace", lambda *names: (events.append("replace"), replace(*names)))
        write_set(out, NEW, NEXT)
    changed = 4 + 2  # files and manifests
    assert events.index("replace") >= changed + 1  # and the journal
    assert events[-1] == "sync"


def test_a_full_disk_leaves_the_old_set(out, monkeypatch):
    before = tree(out)

    def full(descriptor, data):
        raise OSError(errno.ENOSPC, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr(os, "write", full)
        (fault,) = faults = write_set(out, NEW, NEXT)
    assert codes(faults) == ["OUT-008"]
    assert "nothing in the folder was changed" in fault.what
    assert "Make room" in fault.fix
    assert tree(out) == before
    assert not (out / STAGING).exists()
    assert isinstance(write_set(out, NEW, NEXT), WriteResult)


def test_a_disk_that_writes_a_few_bytes_at_a_time(tmp_path, monkeypatch):
    write = os.write
    with monkeypatch.context() as patch:
        patch.setattr(os, "write", lambda descriptor, data: write(descriptor, data[:3]))
        write_set(tmp_path / "out", OLD, INFO)
    assert without_manifests(tree(tmp_path / "out")) == OLD


def test_a_file_open_in_another_program_is_told_and_the_next_run_completes_the_set(out, monkeypatch):
    replace = os.replace

    def locked(source, target):
        if str(target).endswith("program.md"):
            raise PermissionError(errno.EACCES, "Permission denied", str(target))
        replace(source, target)

    with monkeypatch.context() as patch:
        patch.setattr(os, "replace", locked)
        (fault,) = faults = write_set(out, NEW, NEXT)
    assert codes(faults) == ["OUT-008"]
    assert "program.md" in fault.what and "part of the new set" in fault.what
    assert "Close the file" in fault.fix
    assert write_set(out, NEW, NEXT).mended
    assert without_manifests(tree(out)) == NEW


def test_a_folder_that_cannot_be_made(tmp_path):
    (tmp_path / "file").write_bytes(b"mine")
    assert codes(write_set(tmp_path / "file" / "out", OLD, INFO)) == ["OUT-008"]
