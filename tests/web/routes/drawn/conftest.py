import pytest
from tests.store.prepared import with_tables

from sawbill.store import Store
from sawbill.web.app import create_app
from sawbill.web.running.settings import Settings


@pytest.fixture
def keeping(tmp_path):
    """A client of a service that keeps quotes."""
    with Store.open(with_tables(tmp_path / "data")) as opened:
        opened.prepare()
        _, secret = opened.tokens.make("ann", "test", ("quote",))
    client = create_app(Settings(data=str(tmp_path / "data"))).test_client()
    client.environ_base["HTTP_AUTHORIZATION"] = f"Bearer {secret}"
    return client
