import pytest

from sawbill.files.shelf import sample_folder
from sawbill.web.settings import MOST_BODY, NAMES, USUAL_BODY, Settings, SettingsError, read_settings


def test_nothing_set_gives_the_sample_books_and_any_host():
    assert read_settings({"PATH": "/bin"}) == Settings(sample_folder(), (), USUAL_BODY)


def test_every_setting_is_read(tmp_path):
    given = {
        "SAWBILL_BOOKS": str(tmp_path),
        "SAWBILL_TRUSTED_HOSTS": "quotes.example, localhost",
        "SAWBILL_MAX_BODY": "5000",
        "SAWBILL_DATA": "/data",
    }
    assert set(given) == set(NAMES)
    assert read_settings(given) == Settings(tmp_path, ("quotes.example", "localhost"), 5000, "/data")


def test_an_empty_setting_is_an_unset_one():
    assert read_settings(dict.fromkeys(NAMES, " ")) == Settings()


@pytest.mark.parametrize(
    ("name", "value", "remedy"),
    [
        ("SAWBILL_BOOKS", "/no/such/folder", "must be a folder"),
        ("SAWBILL_TRUSTED_HOSTS", "https://quotes.example", "host names alone"),
        ("SAWBILL_TRUSTED_HOSTS", "*", "host names alone"),
        ("SAWBILL_MAX_BODY", "2 MB", "whole number of bytes"),
        ("SAWBILL_MAX_BODY", "999", "whole number of bytes"),
        ("SAWBILL_MAX_BODY", str(MOST_BODY + 1), "whole number of bytes"),
        ("SAWBILL_MAX_BODY", "9" * 5000, "whole number of bytes"),
        ("SAWBILL_DATA", "mysql://a@b/c", "begins with postgresql+psycopg://"),
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
