"""The service on a disk that is really full."""

import json
import time

from tests.store.small_disk import fill, small_disk
from tests.web.serving import served

from sawbill.store.sql.probing import HELD

BODY = {"price_book": "sample-inch", "lines": [{"parts": [{"name": "shelf", "section": "1x8", "length": "30 in"}]}]}


def test_on_a_full_disk_the_service_is_not_ready_and_reading_and_deleting_go_on(tmp_path):
    disk = tmp_path / "disk"
    disk.mkdir()
    with small_disk(disk, 40), served(tmp_path, "--data", str(disk / "data")) as service:
        assert service.ask("/readyz")[0] == 200
        addresses = [service.ask("/v1/quotes", "POST", BODY)[1]["Location"] for _ in range(3)]
        fill(disk)
        time.sleep(HELD)
        status, _, told = service.ask("/readyz")
        assert (status, json.loads(told)["errors"][0]["code"]) == (503, "store")
        assert service.ask("/healthz")[0] == 200
        assert service.ask(addresses[0])[0] == 200
        statuses = {service.ask("/v1/quotes", "POST", BODY)[0] for _ in range(40)}
        assert statuses == {507} or statuses == {201, 507}, "what its log has room for is kept, and no more"
        for address in addresses:
            assert service.ask(address, "DELETE")[0] == 204
        assert service.ask(addresses[0])[0] == 404
