"""The page knows whether it has cells, so that its words fit."""

import pytest

from sheetkit.widgets.host import again, without_code


@pytest.mark.parametrize(
    ("environment", "page"),
    [
        ({}, False),
        ({"SERVER_SOFTWARE": "voila/0.5.13"}, True),
        ({"VOILA_BASE_URL": "/", "VOILA_SERVER_URL": "/"}, True),  # a kernel kept warm
        ({"SERVER_SOFTWARE": "nginx/1.2", "JPY_SESSION_NAME": "a.ipynb"}, False),
        ({"VOILA_APP_PORT": "8866"}, False),  # set by hand for a server, not by one
    ],
)
def test_a_page_without_code_is_known_by_what_its_server_tells(environment, page):
    assert without_code(environment) is page
    assert ("cell" in again(environment)) is not page
