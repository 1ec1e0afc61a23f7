"""What is in deploy/ does what it says."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
from pathlib import Path

import pytest
from sqlalchemy import make_url

from nudgebot.arguments import parser
from nudgebot.channels.settings import NAMES, Settings, read_settings

DEPLOY = Path(__file__).parents[1] / "deploy"
TOKEN = "123456:AAE_small-token"


UNITS = ("nudgebot.service", "nudgebot-backup.service")


def text_of(name: str) -> str:
    return (DEPLOY / name).read_text(encoding="utf-8")


def assignments(text: str, prefix: str = "") -> dict[str, str]:
    """NAME=value lines, after `prefix`."""
    return dict(re.findall(rf"^{prefix}(NUDGEBOT_[A-Z_]+)=(.*?)(?: \\\\)?$", text, re.MULTILINE))


def of_the_unit(name: str, credentials: Path) -> dict[str, str]:
    """What the unit sets, with env.example copied as it is (systemd.exec(5): what a file sets counts for more)."""
    own = {
        key: value.replace("%d", str(credentials)) for key, value in assignments(text_of(name), "Environment=").items()
    }
    return own | assignments(text_of("env.example"))


def test_env_example_names_every_setting_once_in_order_and_sets_none() -> None:
    example = text_of("env.example")
    assert tuple(assignments(example, "#")) == NAMES
    assert assignments(example) == {}


def test_every_line_of_env_example_can_be_used_as_it_stands_once_its_sign_is_off() -> None:
    values = assignments(text_of("env.example"), "#")
    del values["NUDGEBOT_TOKEN_FILE"]  # both would be a fault, and the example's token shows the form
    values["NUDGEBOT_TOKEN"] = TOKEN
    assert isinstance(read_settings(values, "linux"), Settings)


def test_the_unit_has_what_serve_needs_with_env_example_copied_as_it_is(tmp_path: Path) -> None:
    (tmp_path / "token").write_text(TOKEN)
    environ = of_the_unit("nudgebot.service", tmp_path)
    assert isinstance(read_settings(environ, "linux"), Settings)
    copies = of_the_unit("nudgebot-backup.service", tmp_path)
    assert copies["NUDGEBOT_DATABASE"] == environ["NUDGEBOT_DATABASE"]


def test_the_container_has_what_serve_needs_but_the_token(tmp_path: Path) -> None:
    given = assignments(text_of("Containerfile"), " *(?:ENV )?")
    assert given["NUDGEBOT_DATABASE"].startswith("sqlite:////data/")
    assert isinstance(read_settings(given | {"NUDGEBOT_TOKEN": TOKEN}, "linux"), Settings)


def test_the_composed_bot_has_what_serve_needs_and_no_password_in_its_settings(tmp_path: Path) -> None:
    composed = text_of("compose.yaml")
    given = dict(re.findall(r"^ +(NUDGEBOT_[A-Z_]+): (\S+)$", composed, re.MULTILINE))
    (tmp_path / "token").write_text(TOKEN)
    settings = read_settings(given | {"NUDGEBOT_TOKEN_FILE": str(tmp_path / "token")}, "linux")
    assert isinstance(settings, Settings)
    database = make_url(settings.database)
    assert (database.host, database.password) == ("database", None)
    assert re.search(r"^  database:$", composed, re.MULTILINE)
    assert "exec nudgebot serve" in composed


def test_every_command_that_units_and_container_start_is_one_that_there_is() -> None:
    lines = [
        line for name in UNITS for line in re.findall(r"^ExecStart=\S+/nudgebot (.*)$", text_of(name), re.MULTILINE)
    ]
    calls = [line.split() for line in lines]
    calls += [json.loads(found)[1:] for found in re.findall(r"CMD (\[.*\])", text_of("Containerfile"))]
    assert [call[0] for call in calls] == ["serve", "backup", "check", "serve"]
    for call in calls:
        assert parser().parse_args(call).run is not None


@pytest.mark.parametrize("name", [*UNITS, "nudgebot-backup.timer"])
def test_systemd_finds_nothing_to_say_about_the_units(name: str, tmp_path: Path) -> None:
    if shutil.which("systemd-analyze") is None:
        pytest.skip("no systemd here")
    for each in (*UNITS, "nudgebot-backup.timer"):
        there = text_of(each).replace("/opt/nudgebot/.venv/bin/nudgebot", "/bin/true")
        (tmp_path / each).write_text(there, encoding="utf-8")
    done = subprocess.run(["systemd-analyze", "verify", str(tmp_path / name)], capture_output=True, text=True)
    assert (done.returncode, done.stderr) == (0, "")


def test_a_command_of_the_host_has_the_settings_that_the_service_has(tmp_path: Path) -> None:
    """What systemd.exec(5) says of EnvironmentFile=: no expansion, and quotes around a value are no part of it."""
    place = "postgresql+psycopg://nudgebot@host/nudgebot?sslmode=verify-full&connect_timeout=5"
    settings = f"# NUDGEBOT_TICK_SECONDS=9\n\nNUDGEBOT_DATABASE={place}\nNUDGEBOT_JOIN=\"invited\"\nPGPASSFILE='a $b'"
    (tmp_path / "env").write_text(text_of("env.example") + settings, encoding="utf-8")
    script = text_of("nudgebot-host").replace("/etc/nudgebot/env", str(tmp_path / "env"))
    script = re.sub(r"\ncd .*\nexec .*\n", "\nexec env\n", script)
    done = subprocess.run(
        ["sh", "-c", script], capture_output=True, text=True, check=True, env={"PATH": "/usr/bin:/bin"}
    )
    found = dict(line.partition("=")[::2] for line in done.stdout.splitlines())
    assert done.stderr == ""
    assert found["NUDGEBOT_DATABASE"] == place
    assert found["NUDGEBOT_TOKEN_FILE"] == "/etc/nudgebot/token"
    assert (found["NUDGEBOT_JOIN"], found["PGPASSFILE"]) == ("invited", "a $b")
    assert "NUDGEBOT_TICK_SECONDS" not in found


def test_the_container_runs_as_nobody_special_and_has_a_health_check() -> None:
    container = text_of("Containerfile")
    assert re.search(r"^USER 10001$", container, re.MULTILINE)
    assert re.search(r"^HEALTHCHECK .*CMD \[", container, re.MULTILINE)


def test_unit_and_container_draw_pictures_and_have_a_folder_for_what_that_keeps() -> None:
    unit = (DEPLOY / "nudgebot.service").read_text(encoding="utf-8")
    assert "CacheDirectory=nudgebot\n" in unit
    assert "Environment=MPLCONFIGDIR=%C/nudgebot\n" in unit
    container = (DEPLOY / "Containerfile").read_text(encoding="utf-8")
    cache = re.search(r"MPLCONFIGDIR=(\S+)", container)
    assert cache
    assert re.search(rf"install -d -m 700 -o nudgebot .*{cache[1]}\n", container)
    script = re.search(r"(sed '.*?' requirements\.lock) >", container)
    assert script
    lock = subprocess.run(["sh", "-c", script[1]], cwd=DEPLOY.parent, capture_output=True, text=True, check=True).stdout
    assert re.search(r"^matplotlib==", lock, re.MULTILINE)
    assert not re.search(r"^(pytest|hypothesis|ruff|mypy|ortools)==", lock, re.MULTILINE)
