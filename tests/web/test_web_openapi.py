"""The service against its own OpenAPI document: whatever that document lets anybody send, no answer is a 5xx."""

from __future__ import annotations

import collections
from typing import Any

import pytest
import schemathesis
from hypothesis import HealthCheck, Phase, given, settings
from schemathesis.checks import not_a_server_error
from starlette.testclient import TestClient

from jiggen.web.app import MB
from jiggen.web.openapi import openapi

EXAMPLES = 60  # of each operation, fewer where there are no more
WANTED = [(method, path) for path, item in openapi(5 * MB, 32 * MB)["paths"].items() for method in item]


@pytest.fixture(scope="module")
def operations(address: str) -> dict[str, Any]:
    schema = schemathesis.openapi.from_url(f"{address}api/openapi.json")
    found = [result.ok() for result in schema.get_all_operations()]
    return {operation.label: operation for operation in found}


def _send(label: str, operation: Any, asked: collections.Counter[str]) -> None:
    """Every case of one operation that comes to mind, sent."""

    @settings(
        max_examples=EXAMPLES,
        deadline=None,
        derandomize=True,
        database=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(case=operation.as_strategy())
    def send(case: Any) -> None:
        answer = case.call(timeout=30)
        case.validate_response(answer, checks=[not_a_server_error])
        assert answer.status_code < 500
        assert b"Traceback" not in answer.content
        asked[label] += 1

    send()


def test_no_answer_is_a_server_error_in_500_cases(operations: dict[str, Any]) -> None:
    assert sorted(operations) == sorted(f"{method.upper()} {path}" for method, path in WANTED)
    asked: collections.Counter[str] = collections.Counter()
    for label, operation in operations.items():
        _send(label, operation, asked)
    assert set(asked) == set(operations)
    assert sum(asked.values()) >= 500


def test_the_document_is_served(client: TestClient) -> None:
    found = client.get("/api/openapi.json").json()
    assert found == openapi(5 * MB, 32 * MB)
    assert found["openapi"].startswith("3.")
