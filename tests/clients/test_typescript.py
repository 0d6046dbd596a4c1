"""A typed TypeScript client, made from the description by a generator that knows nothing of this service."""

import json
import shutil
from pathlib import Path

import pytest
from tests.clients.conftest import block, command, run

HERE = Path(__file__).parent
TOOLS = HERE / "node_modules"

pytestmark = pytest.mark.node


@pytest.fixture(scope="module")
def made(described, tmp_path_factory):
    """The folder in which the client is, compiled."""
    if not TOOLS.is_dir():
        run("npm", "ci", "--silent", folder=HERE)
    folder = tmp_path_factory.mktemp("typescript")
    for name in ("package.json", "tsconfig.json", "use.ts"):
        shutil.copy(HERE / name, folder)
    (folder / "node_modules").symlink_to(TOOLS)
    (folder / "guide.ts").write_text(block("ts"))
    shutil.copy(described, folder)
    run(*command("npx openapi-typescript"), folder=folder)
    run(str(TOOLS / ".bin/tsc"), "-p", ".", folder=folder)
    return folder


def test_a_typescript_client_is_told_what_the_service_answers(made, service, told):
    running, secret = service
    printed = run("node", "use.js", f"http://127.0.0.1:{running.port}", secret, folder=made)
    assert json.loads(printed) == told


def test_the_typescript_of_the_guide_prints_the_total(made, service, told):
    script = made / "guide.js"
    script.write_text(script.read_text().replace("127.0.0.1:8000", f"127.0.0.1:{service[0].port}"))
    assert run("node", "guide.js", folder=made).strip() == told["by_address"]
