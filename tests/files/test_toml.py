import copy
import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sawbill.estimating.pricebook import content
from sawbill.files.asjson import read_json
from sawbill.files.columns import TABLES
from sawbill.files.faults import BookFaultsError, Faults
from sawbill.files.folder import read_folder
from sawbill.files.shelf import sample_folder
from sawbill.files.toml import read_toml, write_toml


def settings_of(book):
    return {key: value for key, value in content(book).items() if key not in TABLES}


@pytest.mark.parametrize("name", ["sample-inch", "sample-metric"])
def test_the_settings_of_a_book_read_back_as_they_were(name):
    settings = settings_of(read_folder(sample_folder() / name))
    assert tomllib.loads(write_toml(settings)) == settings
    faults = Faults()
    assert read_toml(write_toml(settings), faults).heading is not None
    faults.raise_if_any()


TITLE = st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=40)


@given(TITLE | st.sampled_from(['"', '\\"', "'''", '"""', "# no comment", "\\u0041", "[shop]", "a = 1", "\ufeff"]))
def test_any_title_that_a_book_may_have_reads_back(title):
    from tests.files.conftest import SMALL

    small = copy.deepcopy(SMALL) | {"title": title}
    try:
        book = read_json("small", small)
    except BookFaultsError:
        return
    settings = settings_of(book)
    assert tomllib.loads(write_toml(settings)) == settings


def told(text):
    faults = Faults()
    read_toml(text, faults)
    with pytest.raises(BookFaultsError) as error:
        faults.raise_if_any()
    return {(fault.code, fault.line, fault.column) for fault in error.value.faults}


def test_text_that_is_no_toml_is_told_with_its_line():
    assert told('title = "x"\nunits = inch\n') == {("toml-syntax", 2, "")}
    assert told('title = "x"\ntitle = "y"\n') == {("toml-syntax", 2, "")}
    assert told('title = "x') == {("toml-syntax", 1, "")}
    assert told("a = " + "[" * 100_000) == {("toml-syntax", None, "")}


def test_a_fault_of_a_value_has_the_line_of_its_key(small):
    text = write_toml(settings_of(read_json("small", small)))
    wrong = text.replace('"USD"', '"dollars"').replace('kerf = "1/8 in"', 'kerf = "1/8"')
    lines = wrong.split("\n")
    assert told(wrong) == {
        ("unknown-currency", lines.index('currency = "dollars"') + 1, "currency"),
        ("not-a-length", lines.index('kerf = "1/8"') + 1, "shop.kerf"),
    }


def test_settings_that_could_not_be_had_add_no_fault_of_their_own():
    faults = Faults()
    assert read_toml(None, faults).heading is None
    faults.raise_if_any()
