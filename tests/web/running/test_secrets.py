"""Settings in files."""

from pathlib import Path

import pytest
from tests.cli.commands.test_store import run

from sawbill.web.running.secrets import SecretFileError, from_files, without_files


def test_what_stands_in_a_file_is_read_as_if_it_were_set(tmp_path: Path) -> None:
    (tmp_path / "secret").write_text("s3cret\n")
    environment = {"PGPASSWORD_FILE": f"{tmp_path}/secret", "SAWBILL_RATE": "600 per minute", "HOME_FILE": "/none"}
    assert from_files(environment) == {"PGPASSWORD": "s3cret"}
    assert without_files(environment) == {
        "PGPASSWORD": "s3cret", "SAWBILL_RATE": "600 per minute", "HOME_FILE": "/none",
    }  # fmt: skip


def test_every_fault_is_told_and_no_content(tmp_path: Path) -> None:
    (tmp_path / "bytes").write_bytes(b"\xff")
    (tmp_path / "good").write_text("s3cret")
    with pytest.raises(SecretFileError) as caught:
        from_files({
            "PGPASSWORD_FILE": f"{tmp_path}/bytes", "SAWBILL_RATE_FILE": f"{tmp_path}/none",
            "SAWBILL_DATA_FILE": f"{tmp_path}/good", "SAWBILL_DATA": "/data",
        })  # fmt: skip
    told = str(caught.value).splitlines()
    assert ["not UTF-8" in told[0], "both set" in told[1], "can read" in told[2]] == [True] * 3
    assert "s3cret" not in str(caught.value)


def test_the_commands_read_them(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SAWBILL_DATA", "")  # so that what the command sets is taken back
    (tmp_path / "where").write_text(f"{tmp_path}/data\n")
    where = {"SAWBILL_DATA_FILE": f"{tmp_path}/where"}
    assert run("migrate", **where).exit_code == 0
    assert (tmp_path / "data" / "sawbill.sqlite").is_file()
    monkeypatch.setenv("SAWBILL_DATA", "")
    told = run("migrate", SAWBILL_DATA_FILE=f"{tmp_path}/none")
    assert (told.exit_code, "SAWBILL_DATA_FILE" in told.output) == (1, True)
