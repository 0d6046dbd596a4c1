"""The application: designs, price books and settings put behind the routes."""

from __future__ import annotations

import os
from collections.abc import Iterable
from functools import partial
from pathlib import Path

from flask import Flask

from sawbill.backroom import Here, Once, Room, with_cluster
from sawbill.prices.shelf import Shelf
from sawbill.registry import BadDesignError, designs, versions
from sawbill.trade.design import Design
from sawbill.web import described
from sawbill.web.admission import access
from sawbill.web.http import logs, prefix, problem_answers, queries
from sawbill.web.http.answers import StrictJson, protect
from sawbill.web.http.paths import AddressRule
from sawbill.web.http.smaller import made_smaller
from sawbill.web.library import aside
from sawbill.web.library.keeping import Keeper
from sawbill.web.routes.books.changes import book_changes
from sawbill.web.routes.books.price_books import price_books
from sawbill.web.routes.books.rights import book_rights
from sawbill.web.routes.comparisons import comparisons
from sawbill.web.routes.cutting_plans import cutting_plans
from sawbill.web.routes.design_quotes import design_quotes
from sawbill.web.routes.designs import designs as design_routes
from sawbill.web.routes.drawn.drawings import drawings
from sawbill.web.routes.drawn.sheets import sheets
from sawbill.web.routes.guide import guide
from sawbill.web.routes.jobs import jobs
from sawbill.web.routes.kept_tables import kept_tables
from sawbill.web.routes.links import links
from sawbill.web.routes.operations import operations
from sawbill.web.routes.own.books import own_books
from sawbill.web.routes.own.changing import own_changes
from sawbill.web.routes.own.jobs import own_jobs
from sawbill.web.routes.own.overview import overview
from sawbill.web.routes.own.quotes import own_quotes
from sawbill.web.routes.own.signing_in import signing_in
from sawbill.web.routes.pages.asking import asking
from sawbill.web.routes.pages.cutting import cutting_page
from sawbill.web.routes.pages.few import few
from sawbill.web.routes.pages.front import health, pages
from sawbill.web.routes.pages.interface import interface
from sawbill.web.routes.proposals import proposals
from sawbill.web.routes.quote_tables import quote_tables
from sawbill.web.routes.quotes import quotes
from sawbill.web.routes.table_lists import table_lists
from sawbill.web.routes.tables import tables
from sawbill.web.running import telemetry
from sawbill.web.running.settings import Settings, read_settings
from sawbill.web.work import handing_in, working
from sawbill.web.work.quoting import Service, service
from sawbill.web.work.recent import Recent


def create_app(settings: Settings | None = None, folder: Path | None = None, room: Room | None = None) -> Flask:
    """Make the application, by the environment's settings where none are given.

    folder: where the processes that serve together hold what they share; None: it is one process. room: who reckons;
    None: it does so itself.
    Raises SettingsError: a setting is wrong. BadDesignError: a design cannot be offered.
    """
    telemetry.begin(os.environ)
    settings = settings or read_settings(os.environ)
    offered = designs()
    check_names(offered.values())
    app = Flask("sawbill.web", static_folder=None)
    app.url_rule_class = AddressRule
    app.json = StrictJson(app)
    app.url_map.merge_slashes = False
    app.config["MAX_CONTENT_LENGTH"] = settings.max_body
    app.config["DEADLINE"] = settings.deadline
    app.config["BY_ADDRESS"] = not settings.proxies
    app.config["TRUSTED_HOSTS"] = list(settings.trusted_hosts) or None
    back_room = Once(with_cluster(room or Here(), settings.cluster, versions))
    shelf = Shelf(settings.books, partial(aside.of_folder, back_room))
    app.extensions["sawbill"] = Service(
        offered, shelf, settings, Keeper(settings.data), Recent(folder), room=back_room
    )  # fmt: skip
    working.employ(app)
    handing_in.employ(app)
    watch(app)
    telemetry.watch(app)
    kept_quotes = (kept_tables, quotes, quote_tables, links)
    of_quotes = (design_quotes, drawings, sheets, table_lists, *kept_quotes, cutting_plans)
    side_by_side, of_books = (comparisons, proposals, jobs), (price_books, book_changes, book_rights, tables)
    described.describe(app, health, operations, design_routes, *of_quotes, *side_by_side, *of_books)
    problem_answers.register(app)
    own = (signing_in, overview, own_quotes, own_changes, own_books, own_jobs)
    for each in (pages, interface, asking, cutting_page, few, guide, *own):
        app.register_blueprint(each)
    app.after_request(made_smaller)
    if settings.proxies:
        prefix.believe(app, settings.proxies)
    app.after_request(protect)
    access.guard(app)
    return app


def watch(app: Flask) -> None:
    """Log and count every request; what is registered first sees the answer last, as it is sent."""
    app.before_request(logs.begin)
    app.after_request(logs.end)
    app.after_request(lambda response: service().meters.count_request(response))


def check_names(offered: Iterable[Design]) -> None:
    """Refuse designs whose options could not be asked for in an address. Raises BadDesignError."""
    taken = [
        f"design {design.name}: its option {option.name} has the name of a parameter of every quote; rename it"
        for design in offered
        for option in design.options
        if option.name in queries.TAKEN
    ]
    if taken:
        raise BadDesignError("\n".join(taken))
