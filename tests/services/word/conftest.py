"""A desk whose player asked to be told, and a certificate for the servers that tell."""

import pytest
from sqlalchemy.orm import Session

from tests.services.word.asked import AskedDesk
from tests.services.word.servers import Certificate, make_certificate


@pytest.fixture
def desk(session: Session) -> AskedDesk:
    return AskedDesk(session)


@pytest.fixture(scope="package")
def certificate(tmp_path_factory: pytest.TempPathFactory) -> Certificate:
    return make_certificate(tmp_path_factory.mktemp("certificate"))
