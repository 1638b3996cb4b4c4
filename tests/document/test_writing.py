"""Files are whole or not there: no disk, no other program and no fault leaves half of one."""

from __future__ import annotations

import ast
import errno
import os
import subprocess
from pathlib import Path

import pytest
import rockshy.analysis
from command_line import COMMAND, Patch
from rockshy.analysis.document.writing import NotWrittenError, not_written, whole, write_bytes, write_text

FULL = OSError(errno.ENOSPC, "No space left on device")
HELD = PermissionError(errno.EACCES, "Permission denied")
SOURCES = Path(rockshy.analysis.__file__).parent


def test_a_file_is_written_in_utf8_with_plain_line_ends(tmp_path: Path) -> None:
    assert write_text(tmp_path / "a.txt", "Bärtel\n") == tmp_path / "a.txt"
    assert (tmp_path / "a.txt").read_bytes() == b"B\xc3\xa4rtel\n"
    assert [one.name for one in tmp_path.iterdir()] == ["a.txt"]


def test_a_full_disk_leaves_the_old_file_and_nothing_half_written(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    path.write_bytes(b"old")
    told = pytest.raises(NotWrittenError, match=r"a\.csv: not written, since the disk is full: make room")
    with told, whole(path) as temporary:
        temporary.write_bytes(b"ne")
        raise FULL
    assert path.read_bytes() == b"old"
    assert list(tmp_path.iterdir()) == [path]


def test_a_file_held_open_by_another_program_stays(tmp_path: Path, monkeypatch: Patch) -> None:
    path = tmp_path / "a.csv"
    path.write_bytes(b"old")

    def held(*_: object) -> None:
        raise HELD

    with monkeypatch.context() as patch:
        patch.setattr(Path, "replace", held)
        with pytest.raises(NotWrittenError, match=r"a\.csv: .*another program holds it open"):
            write_bytes(path, b"new")
    assert path.read_bytes() == b"old"
    assert list(tmp_path.iterdir()) == [path]


def test_a_fault_inside_leaves_nothing_and_is_passed_on(tmp_path: Path) -> None:
    with pytest.raises(ZeroDivisionError), whole(tmp_path / "a.csv") as temporary:
        temporary.write_bytes(b"ne")
        raise ZeroDivisionError
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize(
    ("place", "why"), [("nowhere/a.csv", "its folder is not there"), ("folder", "a folder has that name")]
)
def test_a_place_that_cannot_be_is_said(place: str, why: str, tmp_path: Path) -> None:
    (tmp_path / "folder").mkdir()
    with pytest.raises(NotWrittenError, match=why):
        write_bytes(tmp_path / place, b"new")
    assert [one.name for one in tmp_path.iterdir()] == ["folder"]


def test_a_long_name_and_a_link_are_written_to(tmp_path: Path) -> None:
    long = tmp_path / ("ä" * 120 + ".csv")
    write_bytes(long, b"new")
    (tmp_path / "link").symlink_to(long)
    write_bytes(tmp_path / "link", b"newer")
    assert long.read_bytes() == b"newer"
    assert (tmp_path / "link").is_symlink()
    assert len(list(tmp_path.iterdir())) == 2


def test_files_of_one_reason_are_told_in_one_line() -> None:
    several = [NotWrittenError(f"{k}.png", "it is wet") for k in range(5)]
    assert not_written([*several, NotWrittenError("x", "it is dry")]).splitlines() == [
        "0.png, 1.png, 2.png and 2 more: not written, since it is wet",
        "x: not written, since it is dry",
    ]


# ---- in a process of its own


@pytest.mark.skipif(os.name != "posix", reason="limits the size of files as posix does")
def test_a_command_that_runs_out_of_room_leaves_nothing(tmp_path: Path) -> None:
    import resource

    def no_room() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (500, 500))

    done = subprocess.run(
        [*COMMAND, "new", "my-tank.toml"],
        cwd=tmp_path,
        preexec_fn=no_room,
        capture_output=True,
        text=True,
        check=False,
    )
    assert (done.returncode, done.stdout) == (2, "")
    assert "my-tank.toml: not written, since it is larger than a file may be there" in done.stderr
    assert not list(tmp_path.iterdir())


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
def test_an_answer_that_goes_to_a_full_disk_is_said_once() -> None:
    with Path("/dev/full").open("wb") as full:
        done = subprocess.run(
            [*COMMAND, "scenarios"], stdout=full, stderr=subprocess.PIPE, text=True, check=False
        )
    assert done.returncode == 2
    assert "the disk is full" in done.stderr
    assert len(done.stderr.splitlines()) == 1


# ---- nobody goes round it

_METHODS = {"write_text", "write_bytes", "rename", "symlink_to", "hardlink_to", "touch", "to_csv", "tofile"}
_FUNCTIONS = {
    "os.open",
    "os.replace",
    "os.rename",
    "shutil.copy",
    "shutil.copyfile",
    "shutil.move",
    "np.save",
    "np.savez",
}


def _is_to_write(call: ast.Call) -> bool:
    """Whether a call of ``open`` or ``x.open`` opens a file to write."""
    place = 1 if isinstance(call.func, ast.Name) else 0
    mode = next((one.value for one in call.keywords if one.arg == "mode"), None)
    mode = call.args[place] if mode is None and len(call.args) > place else mode
    said = mode.value if isinstance(mode, ast.Constant) else ""
    return isinstance(said, str) and bool(set("wax+") & set(said))


def writes(source: str) -> list[str]:
    """The calls in a text of Python that write a file by themselves."""
    found = []
    for call in ast.walk(ast.parse(source)):
        if not isinstance(call, ast.Call):
            continue
        name = ast.unparse(call.func)
        last = name.rpartition(".")[2]
        is_method = isinstance(call.func, ast.Attribute)
        on_file = ast.unparse(call.args[0]) if call.args else ""
        if (
            name in _FUNCTIONS
            or (last == "open" and _is_to_write(call))
            or (is_method and last in _METHODS and on_file != "file")
            or (last == "savefig" and on_file not in ("told", "page.figure", "canvas.figure"))
        ):
            found.append(f"{name}({on_file})")
    return sorted(found)


def test_the_search_finds_what_writes() -> None:
    for text in (
        'open("a", "w")',
        'open("a", mode="xb")',
        'path.open("wb")',
        'path.open(mode="r+")',
        "path.write_text(told)",
        "os.replace(a, b)",
        "figure.savefig(path, dpi=100)",
        "table.to_csv(path)",
    ):
        assert writes(text), text
    for text in ('open("a")', 'path.open("rb")', "write_text(path, told)", "figure.savefig(told)"):
        assert not writes(text), text


def test_every_module_writes_through_the_one_place() -> None:
    allowed = {
        "document/writing.py": ["temporary.write_bytes(content)"],
        "film/clip.py": ["temporary.open('wb')"],  # inside whole()
        "study/store.py": [  # all of them into drafts, the table as text
            "draft.temporary.open('wb')",
            "table.to_csv()",
            "temporary.write_bytes(json.dumps({'format': FORMAT, 'unfinished': True}).encode() + b'\\n')",
        ],
        "commands/giving.py": ["os.open(os.devnull)"],
        "evidence/sets.py": [
            "file.open('a')",
            "file.write_bytes(whole + end)",
        ],  # a torn line is run again
    }
    found = {
        path.relative_to(SOURCES).as_posix(): told
        for path in sorted(SOURCES.rglob("*.py"))
        if (told := writes(path.read_text(encoding="utf-8")))
    }
    assert found == {name: sorted(told) for name, told in allowed.items()}
