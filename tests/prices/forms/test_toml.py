import copy
import time
import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sawbill.prices.forms.asjson import read_json
from sawbill.prices.forms.folder import read_folder
from sawbill.prices.forms.toml import MAX_SETTINGS_BYTES, MOST_MARKS, read_toml, write_toml
from sawbill.prices.pricebook import content
from sawbill.prices.rows.columns import TABLES
from sawbill.prices.rows.faults import BookFaultsError, Faults
from sawbill.prices.shelf import sample_folder


def settings_of(book):
    return {key: value for key, value in content(book).items() if key not in TABLES}


@pytest.mark.parametrize("name", ["sample-inch", "sample-metric"])
def test_the_settings_of_a_book_read_back_as_they_were(name):
    settings = settings_of(read_folder(sample_folder() / name))
    assert tomllib.loads(write_toml(settings)) == settings
    faults = Faults()
    assert read_toml(write_toml(settings), faults).shop is not None
    faults.raise_if_any()


TITLE = st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=40)


@given(TITLE | st.sampled_from(['"', '\\"', "'''", '"""', "# no comment", "\\u0041", "[shop]", "a = 1", "\ufeff"]))
def test_any_title_that_a_book_may_have_reads_back(title):
    from tests.prices.conftest import SMALL

    small = copy.deepcopy(SMALL) | {"title": title}
    try:
        book = read_json("small", small)
    except BookFaultsError:
        return
    settings = settings_of(book)
    assert tomllib.loads(write_toml(settings)) == settings


def told(text):
    faults = Faults()
    with pytest.raises(BookFaultsError) as error:
        read_toml(text, faults)
        faults.raise_if_any()
    return {(fault.code, fault.line, fault.column) for fault in error.value.faults}


def test_text_that_is_no_toml_is_told_with_its_line():
    assert told('title = "x"\nunits = inch\n') == {("toml-syntax", 2, "")}
    assert told('title = "x"\ntitle = "y"\n') == {("toml-syntax", 2, "")}
    assert told('title = "x') == {("toml-syntax", 1, "")}
    assert told("a = " + "[" * 4_900) == {("toml-syntax", None, "")}


@pytest.mark.parametrize(
    "text",
    [
        "a." * 49_000 + "a=1",
        "[" + "a." * 49_000 + "a]",
        " . ".join(['"a"'] * 15_000) + "=1",
        "x = {" + "a." * 40_000 + "a=1}",
        "".join(f"k{i}=1\n" for i in range(10_000)),
        "".join(f"[t{i}]\n" for i in range(12_000)),
        "x = [" + "[1]," * 20_000 + "]",
        'x = ["""\n#""", {' + "a." * 40_000 + "a=1}]",
    ],
    ids=["dotted", "header", "quoted", "inline", "keys", "groups", "lists", "behind what looks like a comment"],
)
def test_settings_of_a_hundred_kilobytes_take_no_time_whatever_their_keys(text):
    """The reader takes as much as the square of a key's parts: the first of these took it 176 s and 9.4 GB."""
    assert len(text) < MAX_SETTINGS_BYTES
    began = time.process_time()
    assert told(text) == {("too-many-keys", None, "")}
    assert time.process_time() - began < 1


@pytest.mark.parametrize(
    "text",
    [
        "a." * MOST_MARKS["."] + "a=1",
        "[" + "a." * MOST_MARKS["."] + "a]\nx=1",
        "\n".join(f"k{i}=1" for i in range(MOST_MARKS["="])),
        "\n".join(f"[t{i}]" for i in range(MOST_MARKS["["])),
        "x=[" + "[]," * (MOST_MARKS["["] - 1) + "]",
        "x=[" + "{}," * (MOST_MARKS["{"] - 1) + "]",
    ],
    ids=["dotted", "header", "keys", "groups", "lists", "inline"],
)
def test_settings_at_the_bound_are_read_in_little_time(text):
    began = time.process_time()
    assert "too-many-keys" not in {code for code, _, _ in told(text)}
    assert time.process_time() - began < 2


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
    assert read_toml(None, faults).shop is None
    faults.raise_if_any()
