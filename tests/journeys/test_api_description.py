"""Does the command API do what its own description says, whatever is sent to it?

schemathesis makes requests from the description, good and bad, and sends them to the application.
"""

from pathlib import Path
from typing import Any

import schemathesis
from houses import a_house
from hypothesis import HealthCheck, given, settings
from lotroot.accounts.devices import give_token
from lotroot.accounts.enrolment import AllowDevice
from lotroot.posting.features import COMMANDS
from lotroot.verify import verify
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import response_schema_conformance, status_code_conformance
from terminals import web

CHECKS = (not_a_server_error, status_code_conformance, response_schema_conformance)


EXAMPLES = {True: 12, False: 4}
"""Requests of each operation, by whether time is no matter."""


def test_no_request_breaks_the_api(tmp_path: Path, thorough: bool) -> None:
    house = a_house(tmp_path)
    device = house.post(AllowDevice("A hand-held")).numbers[0]
    with house.database.writing() as connection:
        headers = {"Authorization": f"Bearer {give_token(connection, device)}"}
    schema = schemathesis.openapi.from_wsgi("/api/openapi.json", web(house), headers=headers)
    operations = [result.ok() for result in schema.get_all_operations()]
    assert len(operations) > len(COMMANDS)
    for operation in operations:
        _try(operation, headers, house.people["administrator"], EXAMPLES[thorough])
    assert str(verify(house.database)).startswith("ok ")
    house.database.close()


def _try(operation: Any, headers: dict[str, str], person: str, examples: int) -> None:
    """Send some requests of one operation, half of them by somebody who may do it all."""

    @settings(max_examples=examples, suppress_health_check=list(HealthCheck), deadline=None)
    @given(case=operation.as_strategy())
    def tried(case: schemathesis.Case) -> None:
        if isinstance(case.body, dict) and len(str(case.body)) % 2:
            case.body["person"] = person
        case.call_and_validate(headers=headers, checks=list(CHECKS))

    tried()
