"""The command `work`: a machine of a cluster, which works for services elsewhere."""

from __future__ import annotations

import os

import click

from sawbill.cli.options.groups import HELP
from sawbill.cli.output.ending import refuse


@click.command(context_settings=HELP)
@click.argument("scheduler")
def work(scheduler: str) -> None:
    """Work for the services that use a cluster, until told to end.

    SCHEDULER is its address, such as tls://scheduler:8786. SAWBILL_ENGINES and SAWBILL_ENGINE_MEMORY tell how much of
    this machine it may use. Whoever reaches the scheduler can run programs on every machine of the cluster: let only
    your own reach it, and have TLS between them.
    """
    from sawbill.backroom import Limits, beside
    from sawbill.cutting.solver.helper import HELPER
    from sawbill.registry import BadDesignError, designs, versions
    from sawbill.web.http import logs
    from sawbill.web.reckoning import readiness
    from sawbill.web.running.settings import SettingsError, read_settings

    try:
        settings = read_settings({**os.environ, "SAWBILL_CLUSTER": scheduler})
        designs()
    except (SettingsError, BadDesignError) as error:
        refuse([str(error)])
    logs.configure()
    readiness.load()
    room = beside(Limits(settings.engines, memory=settings.memory * 2**20), HELPER.warm)
    from sawbill.backroom.cluster.worker import join

    join(scheduler, room, versions(), settings.engines)
