"""Every request of the OpenAPI documents, thousands of them made up from the schemas: no server error, ever.

Reference: schemathesis, which reads the documents and knows nothing else of this program.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import schemathesis
from hypothesis import HealthCheck, Phase, given, settings
from schemathesis.checks import not_a_server_error
from schemathesis.core.control import SkipTest
from schemathesis.core.result import Ok
from schemathesis.generation import GenerationMode

from support.running import Waytell, waytell
from waytell_bridge.simulated.serving import BoardServer

EXAMPLES = 12
DOCUMENTS = ("/api/openapi.json", "/api/access/openapi.json")


@pytest.fixture(scope="module")
def lathe(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Waytell]:
    folder: Path = tmp_path_factory.mktemp("fuzz")
    with BoardServer(seed=7) as board, waytell("run", "--source", board.url, "--data", str(folder)) as running:
        running.wait_until_live()
        yield running


@pytest.mark.parametrize("mode", list(GenerationMode), ids=lambda mode: str(mode.value))
@pytest.mark.parametrize("document", DOCUMENTS)
def test_no_request_makes_the_server_fail(lathe: Waytell, document: str, mode: GenerationMode) -> None:
    schema = schemathesis.openapi.from_url(f"{lathe.url}{document}")
    schema.config.generation.update(modes=[mode])
    operations = [found.ok() for found in schema.get_all_operations() if isinstance(found, Ok)]
    assert len(operations) == schema.statistic.operations.total
    asked = 0
    for operation in operations:

        @settings(
            max_examples=EXAMPLES, deadline=None, database=None, phases=[Phase.generate],
            suppress_health_check=list(HealthCheck),
        )  # fmt: skip
        @given(operation.as_strategy(generation_mode=mode))
        def ask(case: schemathesis.Case[Any]) -> None:
            nonlocal asked
            asked += 1
            case.call_and_validate(base_url=lathe.url, checks=[not_a_server_error])

        try:
            ask()
        except SkipTest:
            assert mode == GenerationMode.NEGATIVE, "a request without a word in it cannot be said wrongly"
    assert asked >= EXAMPLES
    assert lathe.client.get("/healthz").json()["ok"] is True
