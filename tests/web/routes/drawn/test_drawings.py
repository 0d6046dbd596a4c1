"""Drawings of a design by address: views, model, all sheets; what is remembered; what is refused."""

import io
import json
import re
import zipfile

import pytest
from PIL import Image, ImageOps
from tests.drawings.read import Drawing

from sawbill.drawings.catalogue import VIEWS
from sawbill.web.reckoning import drawings as reckoned
from sawbill.web.reckoning import writing
from sawbill.web.work import drawing
from sawbill.web.written.extras import NoWriterError

BED = "/v1/designs/slatted-bed"
QUERY = "?price_book=sample-inch&mattress=king"


@pytest.mark.parametrize("view", VIEWS)
def test_every_view_is_to_be_had_as_svg(client, view):
    answer = client.get(f"{BED}/drawing.svg{QUERY}&view={view}")
    assert answer.status_code == 200
    assert answer.content_type == "image/svg+xml"
    assert Drawing(answer.text).title.startswith("Knock-down slatted bed: ")


def test_unset_it_is_the_picture_of_the_whole_with_the_letters_of_the_cut_list(client):
    answer = client.get(f"{BED}/drawing.svg{QUERY}")
    assert answer.data == client.get(f"{BED}/drawing.svg{QUERY}&view=isometric").data
    rows = client.get(f"{BED}/quote.json{QUERY}").json["cut_list"]
    shown = Drawing(client.get(f"{BED}/drawing.svg{QUERY}&view=exploded").text).kind("label")
    assert {re.sub(r"[0-9]", "", mark) for mark in shown} == {row["part"] for row in rows}


@pytest.mark.parametrize("view", ["isometric", "sides", "step-2", "cutting"])
def test_a_view_in_pixels_has_its_ink_where_the_drawing_has_it(client, view):
    """Measured by a library for images: letter on its side, 150 pixels to an inch, its frame all around."""
    answer = client.get(f"{BED}/drawing.png{QUERY}&view={view}")
    assert (answer.status_code, answer.content_type) == (200, "image/png")
    image = Image.open(io.BytesIO(answer.data)).convert("L")
    drawing = Drawing(client.get(f"{BED}/drawing.svg{QUERY}&view={view}").text)
    width, height = (float(drawing.root.get(side).removesuffix("mm")) / 25.4 * 150 for side in ("width", "height"))
    assert abs(image.width - width) <= 1 and abs(image.height - height) <= 1
    assert image.getpixel((0, 0)) == 255
    left, top, right, bottom = ImageOps.invert(image).getbbox()
    assert 0 < left < 0.1 * width and 0.9 * width < right < image.width
    assert 0 < top < 0.1 * height and 0.9 * height < bottom < image.height
    assert drawing.texts
    for text in drawing.texts:
        box = [round(each / 25.4 * 150) for each in text.box]
        darkest, lightest = image.crop((box[0] - 1, box[1] - 1, box[2] + 2, box[3] + 2)).getextrema()
        assert darkest < 128 < lightest, f"{text.text} is written, in the font that is shipped"


def test_what_writes_no_png_says_what_would_do(client, monkeypatch):
    def nothing(svg):
        raise NoWriterError

    monkeypatch.setattr(reckoned, "png", nothing)
    answer = client.get(f"{BED}/drawing.png{QUERY}&view=top")
    assert (answer.status_code, answer.json["type"].rpartition("/")[2]) == (501, "not-installed")
    assert "ask for .svg" in answer.json["detail"]


def test_metric_books_give_millimetres_on_a4(client):
    drawing = Drawing(client.get(f"{BED}/drawing.svg?price_book=sample-metric&view=sides").text)
    assert drawing.root.get("width") == "297mm"
    assert "mm" in [text.text for text in drawing.texts]


def test_a_drawing_is_not_sent_to_whom_has_it_nor_drawn_twice(client, monkeypatch):
    address = f"{BED}/drawing.svg{QUERY}&view=sides"
    first = client.get(address)
    assert client.get(address, headers={"If-None-Match": first.headers["ETag"]}).status_code == 304
    monkeypatch.setattr(reckoned, "subjects_of", lambda request: pytest.fail("it is drawn once more"))
    assert client.get(address).data == first.data


def test_the_model_is_binary_gltf(client):
    answer = client.get(f"{BED}/model.glb{QUERY}")
    assert answer.content_type == "model/gltf-binary"
    assert answer.data[:4] == b"glTF"


def test_all_sheets_come_in_a_zip_with_how_the_boards_of_the_quote_are_cut(client):
    answer = client.get(f"{BED}/drawings.zip{QUERY}")
    assert answer.content_type == "application/zip"
    plan = client.get(f"{BED}/quote.json{QUERY}").json["cutting_plan"]
    with zipfile.ZipFile(io.BytesIO(answer.data)) as archive:
        (cutting,) = (name for name in archive.namelist() if "cutting" in name)
        told = Drawing(archive.read(cutting).decode()).kind("board")
    counts = [int(text.split(" ")[0]) for text in told if " of " in text]
    assert counts == [row["count"] for row in plan]


@pytest.mark.parametrize(
    ("address", "code", "told"),
    [
        (f"{BED}/drawing.svg{QUERY}&view=inside", "not-a-choice", 'view is "inside"; it may be isometric, exploded'),
        (f"{BED}/drawing.svg{QUERY}&clear_height=9km", "out-of-range", "clear_height"),
        (f"{BED}/model.glb{QUERY}&view=top", "unknown-parameter", "there is no parameter view"),
        (f"{BED}/drawing.svg?view=top", "missing", "price_book"),
    ],
)
def test_what_is_asked_wrongly_is_told_with_what_would_be_right(client, address, code, told):
    answer = client.get(address)
    assert answer.status_code == 422
    (fault,) = answer.json["errors"]
    assert told in fault["detail"]
    assert fault["parameter"] in told or fault["parameter"] in ("view", "price_book", "clear_height")


def test_an_unknown_design_is_not_found(client):
    assert client.get("/v1/designs/no-bed/drawing.svg?price_book=sample-inch").status_code == 404


REQUEST = {
    "price_book": "sample-inch",
    "lines": [
        {"label": "spare wood", "parts": [{"name": "shelf", "section": "2x4", "length": "3 ft", "quantity": 2}]},
        {"design": "bench", "quantity": 2},
    ],
}


def test_a_stored_quote_is_drawn_line_by_line_as_it_was_made(keeping):
    address = keeping.post("/v1/quotes", json=REQUEST).headers["Location"]
    answer = keeping.get(f"{address}/drawing.svg?view=exploded&line=1")
    assert answer.status_code == 200
    assert Drawing(answer.text).title == "Knock-down bench: taken apart"
    tag = {"If-None-Match": answer.headers["ETag"]}
    assert keeping.get(f"{address}/drawing.svg?view=exploded&line=1", headers=tag).status_code == 304
    with zipfile.ZipFile(io.BytesIO(keeping.get(f"{address}/drawings.zip").data)) as archive:
        assert any(name.endswith("-cutting.svg") for name in archive.namelist())


@pytest.mark.parametrize(
    ("query", "told"),
    [
        ("line=0", "line is 0; the lines with furniture are 1"),
        ("line=one", 'line is "one"; the first line is 0'),
        ("view=inside&line=1", 'view is "inside"; it may be isometric'),
    ],
)
def test_a_line_without_furniture_is_told_from_those_with_it(keeping, query, told):
    address = keeping.post("/v1/quotes", json=REQUEST).headers["Location"]
    answer = keeping.get(f"{address}/drawing.svg?{query}")
    assert answer.status_code == 422
    assert told in answer.json["errors"][0]["detail"]


def test_a_quote_of_an_older_engine_is_not_drawn_as_something_else(keeping, monkeypatch):
    address = keeping.post("/v1/quotes", json=REQUEST).headers["Location"]
    monkeypatch.setattr(drawing, "ENGINE", "sawbill 99.0")
    answer = keeping.get(f"{address}/drawing.svg?line=1")
    assert answer.status_code == 404
    assert "quote it again to draw it" in answer.json["detail"]


def test_whose_a_stored_quote_is_not_is_told_that_there_is_none(keeping, client):
    assert keeping.get("/v1/quotes/00000000000000000000/drawing.svg").status_code == 404
    assert client.get("/v1/quotes/00000000000000000000/drawing.svg").status_code == 409, "it keeps none"


def test_a_stored_drawing_is_not_drawn_twice(keeping, monkeypatch):
    address = keeping.post("/v1/quotes", json=REQUEST).headers["Location"] + "/drawing.svg?line=1"
    first = keeping.get(address)
    monkeypatch.setattr(reckoned, "subjects_of", lambda request: pytest.fail("it is drawn once more"))
    assert keeping.get(address).data == first.data


def held(client, quote):
    """See that every address that a quote lists gives what it says; PDF only where it can be written."""
    rows = [row for row in quote["drawings"] if not row["name"].endswith(".pdf")]
    for row in rows:
        answer = client.get(row["address"])
        assert answer.status_code == 200, row
        assert answer.content_type.partition(";")[0] == row["type"]
        if row["type"] == "image/svg+xml" and row["name"].startswith(("step", "apart")):
            assert Drawing(answer.text).title.endswith(f": {row['title']}")
    return {row["name"] for row in rows}


def test_a_quote_lists_where_all_its_drawings_are(client, keeping):
    asked = "price_book=sample-inch&length=60+in&kerf=3%2F32+in"
    design = client.get(f"/v1/designs/bench/quote.json?{asked}").json
    stored = keeping.post("/v1/quotes", json=REQUEST).json
    names = held(client, design)
    assert names == held(keeping, stored)
    assert {*VIEWS, "step-1", "apart-5", "model", "frame", "cutting", "drawings", "shop-sheet.html"} <= names
    own = keeping.post("/v1/quotes", json={**REQUEST, "lines": REQUEST["lines"][:1]}).json
    assert held(keeping, own) == {"cutting", "drawings", "shop-sheet.html", "customer-sheet.html"}
    assert client.post("/v1/quotes?keep=no", json=REQUEST).json["drawings"] == [], "it has no address"


def test_the_steps_tell_the_marks_of_their_parts_and_the_picture_of_each(client):
    quote = client.get("/v1/designs/bunk-bed/quote.json?price_book=sample-inch").json
    views = {row["name"] for row in quote["drawings"]}
    marks = {mark["mark"]: mark["each"] for cut in quote["cut_list"] for mark in cut["marks"]}
    marks |= {cut["part"]: cut["quantity"] for cut in quote["cut_list"] if not cut["marks"]}
    staged = [step for step in quote["steps"] if step["stages"]]
    assert [step["title"] for step in staged] == ["Assemble", "Take apart"]
    for step in staged:
        told = {}
        for stage in step["stages"]:
            assert stage["drawing"] in views
            assert stage["text"] in step["text"].splitlines()
            for mark in stage["marks"]:
                told[mark["mark"]] = told.get(mark["mark"], 0) + mark["count"]
        assert told == marks


def test_a_view_beyond_the_last_step_is_told_with_those_there_are(client):
    answer = client.get(f"{BED}/drawing.svg{QUERY}&view=step-99")
    assert answer.status_code == 422
    assert 'view is "step-99"; it may be isometric' in answer.json["errors"][0]["detail"]


def test_how_boards_are_cut_is_a_view_too(client, keeping):
    drawing = Drawing(client.get(f"{BED}/drawing.svg{QUERY}&view=cutting").text)
    assert drawing.title == "Knock-down slatted bed: how boards are cut"
    address = keeping.post("/v1/quotes", json=REQUEST).headers["Location"]
    assert Drawing(keeping.get(f"{address}/drawing.svg?view=cutting").text).kind("board")


def test_the_page_of_a_stored_quote_shows_its_furniture_and_a_link_opens_what_it_leads_to(keeping):
    address = keeping.post("/v1/quotes", json=REQUEST).headers["Location"]
    secret = keeping.post(f"{address}/links", json={}).json["secret"]
    del keeping.environ_base["HTTP_AUTHORIZATION"]
    page = keeping.get(f"{address}.html?link={secret}").text
    assert "Knock-down bench: as it stands" in page and 'id="line-1-title"' in page
    (step,) = re.findall(r'<a href="([^"]*view=step-1&amp;[^"]*)"', page)
    assert keeping.get(step.replace("&amp;", "&")).status_code == 200


def test_a_quote_that_was_kept_before_there_were_drawings_still_has_its_page(client):
    quote = client.get(f"{BED}/quote.json{QUERY}").json
    del quote["drawings"]
    for board in quote["cutting_plan"]:
        for cut in board["cuts"]:
            del cut["to"]
    page = writing.quote((), json.dumps(quote).encode(), writing.Look("html", "/v1/quotes/1"), writing.Title("a book"))
    assert "Cutting plan" in page and "<h2>Drawings</h2>" not in page
