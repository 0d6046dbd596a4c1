import pytest

from sawbill.prices.shelf import sample_folder
from sawbill.store import Allowance
from sawbill.web.running.settings import MOST_BODY, NAMES, USUAL_BODY, Settings, SettingsError, read_settings


def test_nothing_set_gives_the_sample_books_and_any_host():
    assert read_settings({"PATH": "/bin"}) == Settings(sample_folder(), (), USUAL_BODY)


def test_every_setting_is_read(tmp_path):
    given = {
        "SAWBILL_BOOKS": str(tmp_path),
        "SAWBILL_TRUSTED_HOSTS": "quotes.example, localhost",
        "SAWBILL_MAX_BODY": "5000",
        "SAWBILL_DATA": "/data",
        "SAWBILL_READING": "token",
        "SAWBILL_LOCAL": "yes",
        "SAWBILL_RATE": "600 per minute",
        "SAWBILL_PROXIES": "1",
        "SAWBILL_METRICS": "open",
        "SAWBILL_PORT": "8000",
        "SAWBILL_ENGINES": "3",
        "SAWBILL_ENGINE_MEMORY": "500",
        "SAWBILL_DEADLINE": "9",
        "SAWBILL_CLUSTER": "tls://scheduler:8786",
    }
    assert set(given) == set(NAMES)
    hosts = ("quotes.example", "localhost")
    limits = Allowance(600, 60), 1, "open", 3, 500, 9, "tls://scheduler:8786"
    assert read_settings(given) == Settings(tmp_path, hosts, 5000, "/data", "token", True, *limits)


@pytest.mark.parametrize(
    ("text", "rate"),
    [
        ("100 per second", Allowance(100, 1)),
        ("1000 per hour", Allowance(1000, 3600)),
        ("1000000000 per day", Allowance(1_000_000_000, 86_400)),
    ],
)
def test_a_rate_is_told_by_its_window(text, rate):
    assert read_settings({"SAWBILL_DATA": "/data", "SAWBILL_RATE": text}).rate == rate


@pytest.mark.parametrize(("name", "value"), [("SAWBILL_READING", "token"), ("SAWBILL_RATE", "600 per minute")])
def test_what_is_kept_in_the_store_needs_one(name, value):
    with pytest.raises(SettingsError, match=f"^{name} needs a store; set SAWBILL_DATA too$"):
        read_settings({name: value})


def test_an_empty_setting_is_an_unset_one():
    assert read_settings(dict.fromkeys(NAMES, " ")) == Settings()


@pytest.mark.parametrize(
    ("name", "value", "remedy"),
    [
        ("SAWBILL_BOOKS", "/no/such/folder", "must be a folder"),
        ("SAWBILL_TRUSTED_HOSTS", "https://quotes.example", "host names alone"),
        ("SAWBILL_TRUSTED_HOSTS", "*", "host names alone"),
        ("SAWBILL_CLUSTER", "scheduler:8786", "tcp:// or tls://, a host and a port"),
        ("SAWBILL_CLUSTER", "http://scheduler:8786", "tcp:// or tls://, a host and a port"),
        ("SAWBILL_MAX_BODY", "2 MB", "whole number of bytes"),
        ("SAWBILL_MAX_BODY", "999", "whole number of bytes"),
        ("SAWBILL_MAX_BODY", str(MOST_BODY + 1), "whole number of bytes"),
        ("SAWBILL_MAX_BODY", "9" * 5000, "whole number of bytes"),
        ("SAWBILL_DATA", "mysql://a@b/c", "begins with postgresql+psycopg://"),
        ("SAWBILL_READING", "anybody", "must be open or token"),
        ("SAWBILL_LOCAL", "1", "must be no or yes"),
        ("SAWBILL_RATE", "600", "such as 600 per minute"),
        ("SAWBILL_RATE", "99 per minute", "from 100 to"),
        ("SAWBILL_RATE", "1000000001 per day", "from 100 to"),
        ("SAWBILL_RATE", "600 per fortnight", "per second, minute, hour, day"),
        ("SAWBILL_PROXIES", "-1", "whole number from 0 to 5"),
        ("SAWBILL_PROXIES", "6", "whole number from 0 to 5"),
        ("SAWBILL_TRUSTED_HOST", "localhost", "did you mean SAWBILL_TRUSTED_HOSTS"),
    ],
)
def test_a_wrong_setting_is_named_with_what_would_be_right(name, value, remedy):
    with pytest.raises(SettingsError) as error:
        read_settings({name: value})
    assert name in str(error.value)
    assert remedy in str(error.value)


def test_all_wrong_settings_are_told_at_once():
    with pytest.raises(SettingsError) as error:
        read_settings({"SAWBILL_BOOKS": "/no/such", "SAWBILL_MAX_BODY": "x", "SAWBILL_BOKS": "y"})
    assert len(str(error.value).splitlines()) == 3
