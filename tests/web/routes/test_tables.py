import pytest

from sawbill.trade import fasteners, lumber, mattresses


@pytest.mark.parametrize(
    ("path", "name", "counts"),
    [
        (
            "/v1/lumber",
            "Lumber",
            {"sections": lumber.sections(), "species": lumber.species(), "grades": lumber.grades()},
        ),
        ("/v1/mattresses", "MattressList", {"mattresses": mattresses.mattress_sizes()}),
        (
            "/v1/fasteners",
            "Fasteners",
            {
                "bolts": fasteners.bolt_sizes(),
                "screws": fasteners.screw_sizes(),
                "hangers": fasteners.hangers(),
                "items": fasteners.ITEMS,
            },
        ),
    ],
)
def test_a_table_is_sent_whole_with_the_sources_of_its_rows(client, holds, path, name, counts):
    answer = client.get(path).json
    holds(name, answer)
    for key, rows in counts.items():
        assert [row.get("name", row.get("item")) for row in answer[key]] == list(rows)
        assert key == "items" or all(row["source"] for row in answer[key])


def by_name(rows):
    return {row["name"]: row for row in rows}


def test_lengths_are_written_in_each_row_s_own_system_or_the_one_asked_for(client):
    own = by_name(client.get("/v1/lumber").json["sections"])
    assert own["2x4"]["width"] == {"mm": 88.9, "text": "3 1/2 in"}
    assert own["45x95"]["width"] == {"mm": 95, "text": "95 mm"}
    assert by_name(client.get("/v1/lumber?units=metric").json["sections"])["2x4"]["width"]["text"] == "88.9 mm"
    assert by_name(client.get("/v1/mattresses").json["mattresses"])["eu-140"]["width"]["text"] == "1400 mm"
    assert by_name(client.get("/v1/mattresses?units=inch").json["mattresses"])["queen"]["width"]["text"] == "60 in"
    bolt = by_name(client.get("/v1/fasteners").json["bolts"])["3/8 in"]
    assert bolt["diameter"] == {"mm": 9.525, "text": "3/8 in"}
    assert {"mm": 127, "text": "5 in"} in bolt["lengths"]


def test_a_thin_washer_is_not_rounded_to_a_saw_s_step(client):
    for bolt in client.get("/v1/fasteners").json["bolts"]:
        number, _, unit = bolt["washer_thickness"]["text"].partition(" ")
        if unit == "in" and "/" not in number:
            assert abs(float(number) * 25.4 - bolt["washer_thickness"]["mm"]) < 0.02
