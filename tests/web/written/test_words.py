"""That all fixed words of the pages are in their catalogue, and that a reader gets them in a language of his own.

The language of these tests is English between marks. Two things that share no code find what the catalogue lacks: the
templates as they are parsed, and the pages as they are sent, from which what is data is taken away.
"""

import re
from html.parser import HTMLParser

import pytest
from babel.messages import Catalog, mofile
from jinja2 import nodes
from tests.web.browsing import Browser
from tests.web.guarded import Kept
from tests.web.written.words import catalogue

from sawbill.web.http import languages
from sawbill.web.work.working import worker_of
from sawbill.web.written import render

PRIVATE = "qaa"
"""A tag for a language that there is none of (ISO 639-2, reserved for private use)."""
SPOKEN = ("aria-label", "alt", "title", "placeholder", "label")
"""The attributes that a reader hears or sees."""
UNREAD = {"code", "pre", "style", "script", "svg"}
"""What holds no words of a page: what programs read, and drawings, which draw their own."""
ALIKE = {"sawbill", "markdown", "json", "csv", "xlsx", "txt", "html", "zip", "value"}
"""What is so called in every language."""
UNITS = {"min", "h", "to", "in", "ft", "mm", "cm", "kg", "lb", "fl oz", "ml", "sq ft", "x", "usd", "eur"}
"""How a time, a length or a mass is told, which is the answer's own."""
QUOTE = "/v1/designs/{}/quote.html?price_book=sample-inch{}"


class Read(HTMLParser):
    """What a page says: its text and the attributes that are spoken, each by itself."""

    def __init__(self, page):
        super().__init__()
        self.around, self.texts = [], [""]
        self.feed(page)

    def handle_starttag(self, tag, attributes):
        spoken = [value for name, value in attributes if name in SPOKEN and value]
        self.texts = [*self.texts[:-1], *spoken, f"{self.texts[-1]}\n"]
        if tag not in ("input", "meta", "link", "br", "img", "rect", "progress"):
            self.around.append(tag)

    def handle_endtag(self, tag):
        self.texts[-1] += "\n"
        if tag in self.around:
            del self.around[len(self.around) - 1 - self.around[::-1].index(tag) :]

    def handle_data(self, data):
        if not UNREAD & {*self.around}:
            self.texts[-1] += data


def unmarked(text):
    """What of a text stands outside the marks, taken apart where marks, tags or numbers are."""
    kept, depth = "", 0
    for char in text:
        depth += {"⟦": 1, "⟧": -1}.get(char, 0)
        kept += "\n" if char in "⟦⟧" else char if depth == 0 else ""
    return [words for part in kept.split("\n") if (words := in_letters(part))]


def in_letters(text):
    return " ".join(re.findall(r"[^\W\d_]+", text.lower()))


def strings(found):
    """Every text of an answer, and every key, but what a column means, which pages translate."""
    if isinstance(found, dict):
        yield from (text for key, value in found.items() if key != "meaning" for text in (key, *strings(value)))
    elif isinstance(found, list):
        yield from (text for value in found for text in strings(value))
    elif isinstance(found, str):
        yield found


def is_data(words, known):
    """Whether words are all of some text of the data, or a part of one, or several whole ones in a row."""
    if any(f" {words} " in f" {text} " for text in known if len(text) > len(words)):
        return True
    parts = words.split()
    reached = {0}
    for end in range(1, len(parts) + 1):
        if any(" ".join(parts[start:end]) in known for start in reached):
            reached.add(end)
    return len(parts) in reached


@pytest.fixture(scope="module")
def kept(tmp_path_factory):
    made = Kept(tmp_path_factory.mktemp("kept"))
    yield made
    worker_of(made.app).stop()


@pytest.fixture(scope="module")
def marked(tmp_path_factory):
    """A catalogue whose every message is the English one between marks, where the service looks for it."""
    folder = tmp_path_factory.mktemp("languages")
    made = Catalog(charset="utf-8")
    for message in catalogue():
        if message.id:
            each = [f"⟦{text}⟧" for text in ([message.id] if isinstance(message.id, str) else message.id)]
            made.add(message.id, each[0] if isinstance(message.id, str) else each)
    file = folder / PRIVATE / "LC_MESSAGES" / "pages.mo"
    file.parent.mkdir(parents=True)
    with file.open("wb") as out:
        mofile.write_mo(out, made)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(languages, "FOLDER", folder)
        languages.offered.cache_clear()
        render.templates.cache_clear()
        yield
    languages.offered.cache_clear()
    render.templates.cache_clear()


@pytest.fixture(scope="module")
def reader(kept, marked):
    """Somebody signed in who reads the language between marks, with a quote and a price book kept."""
    browser = Browser(kept.app)
    browser.client.environ_base["HTTP_ACCEPT_LANGUAGE"] = f"{PRIVATE}, en;q=0.5"
    browser.sign_in(kept.secret("anna", "quote", "price-book"))
    browser.submit(browser.open("/kept"), "/kept/price-books", name="my-yard", copy="sample-inch")
    browser.submit(browser.open("/designs/bench/keep?price_book=my-yard"), "/designs/bench/keep?price_book=my-yard")
    return browser


@pytest.fixture(scope="module")
def common(reader):
    """The texts that any page may show: of the price books, the lumber and the quotes there are, names of options."""
    beside = ["/v1/price-books/sample-inch.json", "/v1/price-books.json", "/v1/quotes.json", "/v1/lumber.json"]
    told = [text for each in beside for text in strings(reader.client.get(each).json)]
    designs = reader.client.application.extensions["sawbill"].designs.values()
    told += [text for design in designs for text in (design.title, *design.references)]
    told += [option.name for design in designs for option in design.options]
    return frozenset(in_letters(text) for text in (*told, "anna")) | UNITS | ALIKE


def data_of(reader, common, path):
    """The texts of what a page shows: the JSON at its address, what it was asked, what any page may show."""
    told = [path, *re.split(r"[?&=/]", path)]
    for each in {path, path.replace(".html", ".json")}:
        answer = reader.client.get(each, headers={"Accept": "application/json"})
        told += strings(answer.json) if answer.is_json else []
    if "/proposal." in path:
        told += reader.open(path.replace(".html", ".txt")).text.splitlines()
    return {in_letters(text) for text in told} | common


PAGES = [
    "/", "/designs/bunk-bed", "/designs/daybed?units=metric&seat_height=1", "/cutting", "/compare", "/sign-in", "/kept",
    QUOTE.format("daybed", "&mattress=full&quantity=2&labour_rate=30&trace=all"),
    QUOTE.format("bunk-bed", "&ways_out=yes"), QUOTE.format("bench", "&length=long"),
    "/v1/designs/daybed/cut-list.html?price_book=sample-inch", "/v1/designs/daybed/checks.html?price_book=sample-inch",
    "/v1/designs/bench/proposal.html?price_book=sample-inch&open=leg&most=total:1",
    "/v1/comparisons.html?designs=bench&price_book=sample-inch&length=40in,50in",
    "/compare?quote=/v1/designs/bench/quote?price_book=sample-inch&quote=/v1/designs/shelf-unit/quote?price_book=sample-inch",
    "/v1/mattresses.html", "/v1/tables", "/v1/values", "/problems/not-found", "/nothing-here",
    "/designs/bench/keep?price_book=sample-inch", "/kept/price-books/my-yard", "/kept/price-books/sample-inch",
    "/v1/quotes.html", "/kept/jobs/comparison?designs=bench&price_book=sample-inch",
    "/kept/quotes/{id}", "/v1/quotes/{id}/drift.html", "/kept/quotes/{id}/change", "/v1/quotes/{id}.html",
]  # fmt: skip
"""A page of each kind whose words are its own; of what is kept, with a place for its id."""


@pytest.mark.parametrize("path", PAGES)
def test_a_page_says_nothing_of_its_own_but_in_its_readers_language(reader, common, path):
    path = path.format(id=re.search("/v1/quotes/([0-9a-f]{20})", reader.open("/kept").text)[1])
    page = reader.open(path)
    assert page.content_type.startswith("text/html") and f'<html lang="{PRIVATE}">' in page.text
    known = data_of(reader, common, path)
    said = [words for text in Read(page.text).texts for words in unmarked(text)]
    assert page.text.count("⟦") > 5
    assert [words for words in said if not is_data(words, known)] == []


@pytest.mark.parametrize("sheet", ["shop-sheet", "customer-sheet"])
def test_a_sheet_for_the_printer_is_in_its_readers_language_too(reader, common, sheet):
    path = f"/v1/designs/daybed/{sheet}.html?price_book=sample-inch"
    page, known = reader.open(path).text, data_of(reader, common, QUOTE.format("daybed", ""))
    known |= {f"{name}s" for name in known if len(name.split()) <= 3}  # fasteners are told as several
    said = [words for text in Read(page).texts for words in unmarked(text)]
    assert [words for words in said if not is_data(words, known)] == []
    english = reader.client.get(path, headers={"Accept-Language": "en"}).text
    assert "⟦" in page and "⟦" not in english


def test_another_language_is_another_answer_to_whoever_holds_the_first(reader):
    path = QUOTE.format("bench", "")
    first = reader.open(path)
    assert "Accept-Language" in first.headers["Vary"]
    same = reader.client.get(path, headers={"If-None-Match": first.headers["ETag"]})
    other = reader.client.get(path, headers={"If-None-Match": first.headers["ETag"], "Accept-Language": "en"})
    assert (same.status_code, other.status_code) == (304, 200)
    assert '<html lang="en">' in other.text and "⟦" not in other.text


@pytest.mark.parametrize("accepted", ["en", "", "xx", "*", f"{PRIVATE};q=0.1, en", "xx, en-GB;q=0.3"])
def test_english_is_read_by_whoever_accepts_nothing_better(reader, accepted):
    answer = reader.client.get("/", headers={"Accept-Language": accepted})
    assert '<html lang="en">' in answer.text and "⟦" not in answer.text


@pytest.mark.parametrize("form", ["json", "csv", "txt"])
def test_what_programs_read_is_the_same_in_every_language(reader, form):
    path = f"/v1/designs/bench/cut-list.{form}?price_book=sample-inch"
    answers = [reader.client.get(path, headers={"Accept-Language": each}) for each in (PRIVATE, "en")]
    assert answers[0].data == answers[1].data
    assert answers[0].headers["ETag"] == answers[1].headers["ETag"]


def flowing(node):
    """The texts that an expression of a template may come to, but those that it hands to gettext."""
    match node:
        case nodes.Const(value=str(text)):
            yield text
        case nodes.CondExpr():
            yield from (text for each in (node.expr1, node.expr2) if each is not None for text in flowing(each))
        case nodes.Concat() | nodes.Tuple() | nodes.List():
            yield from (text for each in node.iter_child_nodes() for text in flowing(each))
        case nodes.BinExpr():
            yield from (text for each in (node.left, node.right) for text in flowing(each))
        case nodes.Filter(name="default" | "capitalize" | "format") if node.node is not None:
            yield from (text for each in (node.node, *node.args) for text in flowing(each))


def own_words(source):
    """The fixed words of a template that no catalogue has."""
    tree = render.templates("en").parse(source)
    told = [each for output in tree.find_all(nodes.Output) for each in output.nodes]
    written = "".join(each.data if isinstance(each, nodes.TemplateData) else "" for each in told)
    written = re.sub(r"<(code|pre|style)\b.*?</\1>", "", written, flags=re.DOTALL)
    marks = [text for each in told if not isinstance(each, nodes.TemplateData) for text in flowing(each)]
    shown = [*Read(written).texts, *(text for text in marks if " " in text.strip() or text[:1].isupper())]
    bare = (
        re.sub(r'[\w-]+="[^"]*"|%[.\d]*[df]', "", text) for text in shown
    )  # attributes of a block; places of numbers
    found = (in_letters(text) for whole in bare for text in whole.split("\n"))
    return [words for words in found if {*words.split()} - ALIKE - UNITS]


@pytest.mark.parametrize("file", sorted(render.PAGES.rglob("*.html")), ids=lambda file: file.stem)
def test_a_template_has_no_words_that_its_catalogue_lacks(file):
    assert own_words(file.read_text()) == []


@pytest.mark.parametrize(
    ("template", "words"),
    [("<h1>Total</h1>", "total"), ('<p>{{ "No" if x else _("Yes") }} </p>', "no"), ('<a title="{{ x }} More">', "more"),
     ("{% trans %}Fine{% endtrans %}<b>not</b>", "not"), ('{{ x or "No label" }}', "no label")],
)  # fmt: skip
def test_words_that_a_catalogue_would_lack_are_found(template, words):
    assert own_words(template) == [words]
