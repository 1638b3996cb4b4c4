"""Old caches of compiled rules go; whatever is in use, recent or not surely ours stays."""

from __future__ import annotations

import os
from pathlib import Path

from rockshy.sim.rules.support.caches import KEPT_DAYS, USED, clear_old, note_use

NOW_S = 1_700_000_000.0
OLD_S = NOW_S - (KEPT_DAYS + 1.0) * 86_400.0
FRESH_S = NOW_S - (KEPT_DAYS - 1.0) * 86_400.0


def cache(caches: Path, name: str, *, used_s: float = OLD_S, also: str = "") -> Path:
    """A folder as Numba leaves it; ``also``: a file that is none of Numba's."""
    folder = caches / name
    (folder / "rules").mkdir(parents=True)
    for file in ("rules/day.advance-1.py311.nbi", "rules/day.advance-1.py311.1.nbc", USED, also):
        if file:
            (folder / file).write_bytes(b"x")
    for one in (*folder.rglob("*"), folder):
        os.utime(one, (OLD_S, OLD_S))
    os.utime(folder / USED, (used_s, used_s))
    return folder


def test_only_old_caches_of_ours_go(tmp_path: Path) -> None:
    old = cache(tmp_path, "rules-0123456789abcdef")
    current = cache(tmp_path, "rules-1111111111111111")
    recent = cache(tmp_path, "rules-2222222222222222", used_s=FRESH_S)
    strange = cache(tmp_path, "rules-3333333333333333", also="notes.txt")
    other = cache(tmp_path, "rules-of-the-house")
    elsewhere = cache(tmp_path / "elsewhere", "kept")
    (tmp_path / "rules-4444444444444444").symlink_to(elsewhere, target_is_directory=True)
    (tmp_path / "rules-5555555555555555").write_text("a file")
    assert clear_old(tmp_path, but=current, now_s=NOW_S) == [old]
    assert not old.exists()
    for stays in (current, recent, strange, other, elsewhere):
        assert any(stays.rglob("*.nbc")), stays
    assert (tmp_path / "rules-4444444444444444").is_symlink()
    assert (tmp_path / "rules-5555555555555555").is_file()


def test_the_first_use_of_a_new_cache_clears_our_own_folder_and_no_other(tmp_path: Path) -> None:
    for name, goes in (("rockshy", True), ("shared-caches", False)):
        caches = tmp_path / name
        old = cache(caches, "rules-0123456789abcdef")
        new = caches / "rules-1111111111111111"
        new.mkdir()
        note_use(new)
        assert old.exists() is not goes
        assert (new / USED).exists()


def test_a_cache_in_use_is_marked_so_and_clears_nothing(tmp_path: Path) -> None:
    caches = tmp_path / "rockshy"
    used, old = cache(caches, "rules-1111111111111111"), cache(caches, "rules-0123456789abcdef")
    note_use(used)
    assert (used / USED).stat().st_mtime > OLD_S
    assert old.exists()
