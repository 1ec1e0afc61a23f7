"""What is in deploy/ does what it says."""

from __future__ import annotations

import re
import sqlite3
import stat
import subprocess
from pathlib import Path

import pytest

from nudgebot.channels.settings import NAMES, Settings, read_settings
from nudgebot.storage.database import open_database

DEPLOY = Path(__file__).parents[1] / "deploy"
TOKEN = "123456:AAE_small-token"


def assignments(text: str, prefix: str = "") -> dict[str, str]:
    """NAME=value lines, after `prefix`."""
    return dict(re.findall(rf"^{prefix}(NUDGEBOT_[A-Z_]+)=(.*)$", text, re.MULTILINE))


def test_env_example_names_every_setting_once_in_order_and_only_lacks_the_token() -> None:
    example = assignments((DEPLOY / "env.example").read_text(encoding="utf-8"))
    assert tuple(example) == NAMES
    assert isinstance(read_settings(example | {"NUDGEBOT_TOKEN": TOKEN}, "linux"), Settings)
    assert [fault.name for fault in read_settings(example, "linux")] == ["NUDGEBOT_TOKEN"]  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("file", "prefix"), [("nudgebot.service", "Environment="), ("Containerfile", "ENV ")], ids=["unit", "container"]
)
def test_unit_and_container_set_what_serve_reads(file: str, prefix: str, tmp_path: Path) -> None:
    (tmp_path / "token").write_text(TOKEN)
    given = assignments((DEPLOY / file).read_text(encoding="utf-8"), prefix)
    environ = {name: value.split()[0].replace("%d", str(tmp_path)) for name, value in given.items()}
    if file == "Containerfile":
        environ["NUDGEBOT_TOKEN_FILE"] = str(tmp_path / "token")
    assert isinstance(read_settings(environ, "linux"), Settings)


def test_unit_and_container_draw_pictures_and_have_a_folder_for_what_that_keeps() -> None:
    unit = (DEPLOY / "nudgebot.service").read_text(encoding="utf-8")
    assert "CacheDirectory=nudgebot\n" in unit
    assert "Environment=MPLCONFIGDIR=%C/nudgebot\n" in unit
    container = (DEPLOY / "Containerfile").read_text(encoding="utf-8")
    cache = re.search(r"MPLCONFIGDIR=(\S+)", container)
    assert cache
    assert re.search(rf"install -d -m 700 -o nudgebot .*{cache[1]}\n", container)
    script = re.search(r"RUN (sed .*? requirements\.lock) >", container)
    assert script
    lock = subprocess.run(["sh", "-c", script[1]], cwd=DEPLOY.parent, capture_output=True, text=True, check=True).stdout
    assert re.search(r"^matplotlib==", lock, re.MULTILINE)
    assert not re.search(r"^(pytest|hypothesis|ruff|mypy|ortools)==", lock, re.MULTILINE)


def backup(database: Path, folder: Path, *keep: str) -> Path:
    done = subprocess.run(
        ["sh", str(DEPLOY / "backup.sh"), str(database), str(folder), *keep], capture_output=True, text=True, check=True
    )
    return Path(done.stdout.strip())


def test_a_backup_of_a_database_in_use_is_whole_private_and_holds_the_newest_pages(tmp_path: Path) -> None:
    database = tmp_path / "it's a bot.db"
    engine = open_database(f"sqlite:///{database}")
    with engine.begin() as conn:
        conn.exec_driver_sql("INSERT INTO heard (digest, at) VALUES (x'01', 1)")
    copy = backup(database, tmp_path / "copies")
    engine.dispose()
    assert stat.S_IMODE(copy.stat().st_mode) == 0o600
    opened = sqlite3.connect(copy)
    assert opened.execute("SELECT count(*) FROM heard").fetchone() == (1,)
    opened.close()
    assert [each.name for each in (tmp_path / "copies").iterdir()] == [copy.name]


def test_only_the_newest_backups_are_kept(tmp_path: Path) -> None:
    database, copies = tmp_path / "bot.db", tmp_path / "copies"
    open_database(f"sqlite:///{database}").dispose()
    copies.mkdir()
    for day in range(1, 6):
        (copies / f"nudgebot-2020010{day}T000000Z.db").touch()
    (copies / "notes.txt").touch()
    newest = backup(database, copies, "3")
    assert sorted(each.name for each in copies.iterdir()) == sorted(
        ["notes.txt", "nudgebot-20200104T000000Z.db", "nudgebot-20200105T000000Z.db", newest.name]
    )


def test_a_backup_of_what_is_not_there_fails_and_leaves_nothing(tmp_path: Path) -> None:
    with pytest.raises(subprocess.CalledProcessError):
        backup(tmp_path / "nowhere.db", tmp_path / "copies")
    assert list((tmp_path / "copies").iterdir()) == []
