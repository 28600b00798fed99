"""Signing in as the form does."""

from flask.testing import FlaskClient

from tests.web.conftest import PASSWORD


def sign_in(client: FlaskClient, name: str, password: str = PASSWORD, **more: str):
    return client.post("/sign-in", data={"name": name, "password": password, **more})
