import os
import threading

import pytest

from sawbill.prices.rows.faults import BookFaultsError
from sawbill.prices.shelf import Shelf, UnknownBookError, sample_folder


def test_the_sample_books_are_found():
    assert Shelf(sample_folder()).names() == ["sample-inch", "sample-metric"]


def test_a_book_is_read_once_while_its_files_stay(folder):
    shelf = Shelf(folder.path.parent)
    assert shelf.get("small") is shelf.get("small")


def test_a_book_is_read_again_when_a_file_changes(folder):
    shelf = Shelf(folder.path.parent)
    before = shelf.get("small")
    folder.replace("lumber.csv", "4.28", "4.29")
    os.utime(folder.path / "lumber.csv", ns=(1, 1))
    after = shelf.get("small")
    assert after.revision != before.revision
    assert shelf.get("small") is after


def test_a_book_at_fault_is_told_each_time_until_it_is_mended(folder):
    shelf = Shelf(folder.path.parent)
    folder.replace("lumber.csv", "4.28", "-4.28")
    for _ in range(2):
        with pytest.raises(BookFaultsError):
            shelf.get("small")
    folder.replace("lumber.csv", "-4.28", "4.28")
    assert shelf.get("small").name == "small"


def test_folders_that_are_no_books_are_not_listed(folder):
    shelf = Shelf(folder.path.parent)
    (folder.path.parent / "notes").mkdir()
    (folder.path.parent / "Upper Case").mkdir()
    (folder.path.parent / "Upper Case" / "book.toml").touch()
    (folder.path.parent / "file").touch()
    assert shelf.names() == ["small"]


def test_a_folder_that_is_not_there_holds_no_books(tmp_path):
    assert Shelf(tmp_path / "nowhere").names() == []


@pytest.mark.parametrize(
    "name", ["smal", "", "..", "../small", "small/../small", "small\x00", "SMALL", "x" * 10_000, "small\n"]
)
def test_a_name_that_is_no_books_is_refused_with_the_names_there_are(folder, name):
    with pytest.raises(UnknownBookError, match="small"):
        Shelf(folder.path.parent).get(name)


def test_threads_asking_at_once_get_the_same_book(folder):
    shelf = Shelf(folder.path.parent)
    books = []
    threads = [threading.Thread(target=lambda: books.append(shelf.get("small"))) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len({id(book) for book in books}) == 1
