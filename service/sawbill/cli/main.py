"""The `sawbill` command: what its commands are; each is loaded when it is called."""

from __future__ import annotations

import os
from types import MappingProxyType
from typing import Final

import click

import sawbill
from sawbill.cli.options.groups import HELP, Lazy, LazyGroup
from sawbill.cli.output.ending import CODES, refuse

_QUOTING: Final = "Quotes and plans"
_LISTS: Final = "What there is to ask for"
_PRICES: Final = "Price books"
_SERVICE: Final = "The service and its store"

COMMANDS: Final = MappingProxyType({
    "quote": Lazy("quote:quote", "Quote furniture: what to buy, how to cut it, what it costs.", _QUOTING),
    "compare": Lazy("compare:compare_designs", "Set quotes side by side, a row each.", _QUOTING),
    "propose": Lazy("propose:propose_designs", "Find the best values for options left open.", _QUOTING),
    "plan": Lazy("plan:plan", "Plan how to buy and cut pieces of your own.", _QUOTING),
    "draw": Lazy("draw:draw", "Draw a design, or write the sheets to build from.", _QUOTING),
    "designs": Lazy("catalogues:designs", "List the designs.", _LISTS),
    "options": Lazy("catalogues:options", "List the options of a design: ranges and defaults.", _LISTS),
    "lumber": Lazy("catalogues:lumber", "List the sections, species and grades of lumber.", _LISTS),
    "mattresses": Lazy("catalogues:mattresses", "List the sizes of mattresses.", _LISTS),
    "fasteners": Lazy("catalogues:fasteners", "List the bolts, screws and hangers.", _LISTS),
    "check-prices": Lazy("prices:check_prices", "Read a price book and list every mistake in it.", _PRICES),
    "serve": Lazy("serve:serve", "Start the HTTP service.", _SERVICE),
    "work": Lazy("work:work", "Work for a cluster: join its scheduler.", _SERVICE),
    "migrate": Lazy("store:migrate", "Bring the store's tables to this version.", _SERVICE),
    "backup": Lazy("store:backup", "Copy the store into one file.", _SERVICE),
    "restore": Lazy("store:restore_backup", "Make a store from a backup.", _SERVICE),
    "token": Lazy("store:token", "Make, list and revoke access tokens.", _SERVICE),
    "book": Lazy("books:book", "List, share, give away and bring back stored price books.", _SERVICE),
    "hand-over": Lazy("store:hand_over", "Give all that one owner keeps to another.", _SERVICE),
    "group": Lazy("books:group", "List groups of owners, and change who is in them.", _SERVICE),
})  # fmt: skip
"""Every command by its name, in the order of the help."""

_EXAMPLES: Final = """\b
A first quote:
  sawbill quote slatted-bed --set mattress=queen
\b
What may be asked of a design, and a comparison:
  sawbill options slatted-bed
  sawbill compare slatted-bed low-platform --set mattress=twin,queen
"""
_COMPLETION: Final = """\b
Completion of commands, options, designs and price books with the Tab key:
  bash, in ~/.bashrc:    eval "$(_SAWBILL_COMPLETE=bash_source sawbill)"
  zsh, in ~/.zshrc:      eval "$(_SAWBILL_COMPLETE=zsh_source sawbill)"
  fish, in ~/.config/fish/completions/sawbill.fish:
                         _SAWBILL_COMPLETE=fish_source sawbill | source
"""


@click.group(
    cls=LazyGroup,
    lazy=COMMANDS,
    context_settings=HELP,
    epilog=f"{_EXAMPLES}\n\n{CODES}\n\n{_COMPLETION}",
)
@click.version_option(sawbill.__version__, "-V", "--version", package_name="sawbill")
def main() -> None:
    """Quotes for furniture built from construction lumber: what to buy, how to cut it, what it costs.

    Each command lists its options with -h.
    """
    from sawbill.web.running.secrets import SUFFIX, SecretFileError, from_files

    try:
        os.environ.update(read := from_files(os.environ))
    except SecretFileError as error:
        refuse([str(error)])
    for name in read:
        del os.environ[f"{name}{SUFFIX}"]
