"""The commands of the store, used as in a terminal."""

from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from sawbill.cli.main import main
from sawbill.store import Store
from sawbill.store.kept.secret import hashed


def run(*words: str, **environment: str) -> Result:
    return CliRunner().invoke(main, words, env=environment)


@pytest.fixture
def data(tmp_path: Path) -> str:
    folder = str(tmp_path / "data")
    assert run("migrate", "--data", folder).exit_code == 0
    return folder


def test_migrate_makes_a_folder_and_says_what_it_did(tmp_path: Path) -> None:
    words = ("migrate", "--data", str(tmp_path / "data"))
    assert "its tables were made" in run(*words).output
    assert "already" in run(*words).output


def test_the_store_is_named_by_the_environment_too(data: str) -> None:
    assert run("token", "list", SAWBILL_DATA=data).exit_code == 0
    assert "--data" in run("token", "list").output


@pytest.mark.parametrize("command", ["migrate", "token list"])
def test_a_store_that_cannot_be_is_the_answer_no(tmp_path: Path, command: str) -> None:
    result = run(*command.split(), "--data", "mysql://a@b/c")
    assert result.exit_code == 1
    assert "begins with postgresql+psycopg://" in result.output
    result = run("token", "list", "--data", str(tmp_path))
    assert result.exit_code == 1
    assert "its folder" in result.output


def test_a_token_is_shown_once_and_opens_until_it_is_revoked(data: str) -> None:
    made = run("token", "make", "--owner", "anna", "--label", "my laptop", "--scope", "quote", "--data", data)
    assert made.exit_code == 0
    secret = made.stdout.strip()
    assert "shown only this once" in made.stderr and secret not in made.stderr
    listed = run("token", "list", "--data", data).output
    assert "anna  my laptop  quote  until it is revoked" in listed
    assert secret not in listed and hashed(secret) not in listed
    with Store.open(data) as store:
        token = store.tokens.check(secret)
    assert run("token", "revoke", token.id, "--data", data).exit_code == 0
    assert "  revoked 2" in run("token", "list", "--data", data).output


def kept_by(data: str, owner: str) -> dict[str, int]:
    with Store.open(data) as store:
        return store.owners.kept_by(owner)


def make_token(data: str, owner: str) -> str:
    made = run("token", "make", "--owner", owner, "--label", "x", "--scope", "quote", "--data", data)
    assert made.exit_code == 0 and len(made.stdout.split()) == 1, "scripts read the secret alone"
    return made.stderr


def test_the_first_token_says_what_becomes_of_what_was_kept_without_one(data: str) -> None:
    with Store.open(data) as store:
        store.jobs.add("comparison", "local", b"{}")
        store.jobs.add("comparison", "local", b"{}")
    told = make_token(data, "anna")
    assert "belongs to the owner local: 2 jobs." in told
    (command,) = (line.strip() for line in told.splitlines() if line.startswith("  sawbill "))
    assert "first token" not in make_token(data, "ben")
    moved = run(*command.split()[1:], "--data", data)
    assert (moved.exit_code, moved.output) == (0, "anna now has what was local's: 2 jobs.\n")
    assert kept_by(data, "anna")["jobs"] == 2 and not any(kept_by(data, "local").values())


def test_the_first_token_of_an_empty_store_names_no_command(data: str) -> None:
    told = make_token(data, "anna")
    assert "first token" in told and "hand-over" not in told


def test_whoever_cannot_be_handed_anything_is_told(data: str) -> None:
    result = run("hand-over", "--from", "local", "--to", "Anna B", "--data", data)
    assert result.exit_code == 2 and "lower-case" in result.output


def test_a_token_may_end_by_itself(data: str) -> None:
    words = ("--owner", "anna", "--label", "a week", "--scope", "price-book", "--scope", "quote", "--days", "7")
    made = run("token", "make", *words, "--data", data)
    assert "price-book quote  until 2" in made.stderr


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (("make", "--owner", "Anna", "--label", "x", "--scope", "quote"), "lower-case letters, digits and hyphens"),
        (("make", "--owner", "anna", "--label", "x", "--scope", "root"), "'price-book', 'metrics', 'admin'"),
        (("make", "--owner", "anna", "--label", "x"), "--scope"),
        (("revoke", "none"), "token list"),
    ],
)
def test_a_faulty_word_is_said_with_what_would_do(data: str, words: tuple[str, ...], message: str) -> None:
    result = run("token", *words, "--data", data)
    assert result.exit_code == 2
    assert message in result.output


def test_a_backup_is_restored_with_its_tokens(data: str, tmp_path: Path) -> None:
    made = run("token", "make", "--owner", "anna", "--label", "laptop", "--scope", "admin", "--data", data)
    backup, other = str(tmp_path / "backup"), str(tmp_path / "other")
    assert "bytes, checked" in run("backup", backup, "--data", data).output
    assert run("backup", backup, "--data", data).exit_code == 1
    assert run("restore", backup, "--data", data).exit_code == 1
    assert run("restore", backup, "--data", other).exit_code == 0
    with Store.open(other) as store:
        assert store.tokens.check(made.stdout.strip()).owner == "anna"


def test_postgresql_is_backed_up_by_its_own_programs(tmp_path: Path) -> None:
    address = "postgresql+psycopg://anna@localhost/sawbill"
    assert "pg_dump" in run("backup", str(tmp_path / "backup"), "--data", address).output
    assert "pg_restore" in run("restore", str(tmp_path / "backup"), "--data", address).output


def test_the_service_does_not_start_on_a_store_of_another_version(data: str) -> None:
    with Store.open(data) as store, store._database.write() as connection:
        connection.exec_driver_sql("UPDATE alembic_version SET version_num = '9999'")
    result = run("serve", "--data", data)
    assert result.exit_code == 1
    assert "newer version" in result.output
