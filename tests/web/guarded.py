"""A service with a store and a few members, and every address of it."""

import re
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from tests.store.prepared import with_tables

from sawbill.store import Store
from sawbill.web.admission.access import access_of
from sawbill.web.app import create_app
from sawbill.web.running.settings import Settings

PATH = {
    "to": "everyone",
    "design": "slatted-bed", "name": "sample-inch", "kind": "not-found", "table": "cut-list", "path": "total",
    "revision": "0000000000000000",
}  # fmt: skip
"""What stands in a path where a test says nothing of it."""


@dataclass(frozen=True)
class Address:
    """A method at an address, and what it takes."""

    method: str
    rule: str
    access: str | None

    def path(self, **names):
        """The address with names in the places of its parameters."""
        known = PATH | names
        return re.sub(r"<(?:\w+:)?(\w+)>", lambda found: known.get(found[1], "0" * 20), self.rule)


def addresses(app):
    """Every method at every address of an application."""
    return sorted(
        (
            Address(method, rule.rule, access_of(app, rule.endpoint))
            for rule in app.url_map.iter_rules()
            for method in rule.methods - {"HEAD", "OPTIONS"}
        ),
        key=lambda each: (each.rule, each.method),
    )


class Kept:
    """An application with a store in a folder, and the store seen from beside it."""

    def __init__(self, folder, **settings):
        self.folder = folder
        if not any(folder.glob("*")):
            with_tables(folder)
        with Store.open(folder) as store:
            store.prepare()
        self.store = Store.open(folder)
        self.app = create_app(Settings(data=str(folder), **settings))

    def secret(self, owner, *scopes, expires=None):
        return self.store.tokens.make(owner, "test", scopes or ("quote",), expires)[1]

    def ended(self, owner):
        """A token that has ended: one made yesterday, for an hour."""
        yesterday = datetime.now(UTC) - timedelta(days=1)
        with Store.open(self.folder, lambda: yesterday) as earlier:
            return earlier.tokens.make(owner, "test", ["quote"], yesterday + timedelta(hours=1))[1]

    def client(self, secret=None, **environ):
        client = self.app.test_client()
        client.environ_base.update(environ)
        if secret is not None:
            client.environ_base["HTTP_AUTHORIZATION"] = f"Bearer {secret}"
        return client

    def as_(self, owner, *scopes):
        return self.client(self.secret(owner, *scopes))


BODIES = {"PATCH": {"json": {"label": "x"}}, "POST": {"json": {}}, "PUT": {"json": {}}}


def ask(client, address, **names):
    """Ask an address, with a body of the right kind where it takes one."""
    more = {} if address.rule.endswith("/requote") else BODIES.get(address.method, {})
    return client.open(address.path(**names), method=address.method, **more)
