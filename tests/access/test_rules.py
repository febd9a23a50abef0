"""Who may have what: each rule, and that no request at all gets round them."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from waytell.access.rules import (
    NOT_JSON,
    NOT_LET_IN,
    ONLY_HERE,
    ONLY_WATCHES,
    OTHER_SITE,
    REQUESTS_THAT_ONLY_ASK,
    Asked,
    Who,
    refused,
)

HERE = Who(here=True, role="operate")
STRANGER = Who(here=False, role=None)
WATCHING = Who(here=False, role="watch", device_id="1", name="phone")
OPERATING = Who(here=False, role="operate", device_id="2", name="tablet")

HOST = {b"host": b"192.0.2.2:8642"}
OWN = {**HOST, b"origin": b"http://192.0.2.2:8642", b"content-type": b"application/json"}
OTHER = {**OWN, b"origin": b"http://elsewhere.example"}
PROGRAM = {**HOST, b"content-type": b"application/json; charset=utf-8"}


def test_a_stranger_sees_only_where_to_be_let_in() -> None:
    for path in ("/", "/api/state", "/api/events", "/healthz", "/plan", "/at/lathe/api/state", "/api/openapi.json"):
        assert refused(STRANGER, Asked("GET", path, HOST)) is NOT_LET_IN, path
    assert refused(STRANGER, Asked("WEBSOCKET", "/live", OWN)) is NOT_LET_IN
    assert refused(STRANGER, Asked("POST", "/api/acts", OWN)) is NOT_LET_IN
    for path in ("/pair", "/static/js/pair.js", "/api/me"):
        assert refused(STRANGER, Asked("GET", path, HOST)) is None, path
    assert refused(STRANGER, Asked("POST", "/api/pair", OWN)) is None


def test_whoever_watches_sees_all_and_changes_nothing() -> None:
    assert refused(WATCHING, Asked("GET", "/api/state", HOST)) is None
    assert refused(WATCHING, Asked("WEBSOCKET", "/live", OWN)) is None
    for path in ("/api/acts", "/api/demo", "/at/lathe/api/acts"):
        assert refused(WATCHING, Asked("POST", path, OWN)) is ONLY_WATCHES, path
    for path in REQUESTS_THAT_ONLY_ASK:
        assert refused(WATCHING, Asked("POST", path, OWN)) is None, path
    assert refused(OPERATING, Asked("POST", "/api/acts", OWN)) is None


def test_devices_are_let_in_at_the_computer_only() -> None:
    for who in (STRANGER, WATCHING, OPERATING):
        for path in ("/devices", "/api/devices", "/api/devices/code", "/api/devices/take_away"):
            assert refused(who, Asked("POST", path, OWN)) is ONLY_HERE
            assert refused(who, Asked("GET", path, HOST)) is ONLY_HERE
    assert refused(HERE, Asked("POST", "/api/devices/code", PROGRAM)) is None


def test_another_sites_page_changes_nothing_in_the_persons_name() -> None:
    for who in (HERE, OPERATING):
        assert refused(who, Asked("POST", "/api/acts", OTHER)) is OTHER_SITE
        assert refused(who, Asked("WEBSOCKET", "/live", OTHER)) is OTHER_SITE
        assert refused(who, Asked("POST", "/api/acts", {**OWN, b"sec-fetch-site": b"cross-site"})) is OTHER_SITE
        assert refused(who, Asked("POST", "/api/acts", {**OWN, b"origin": b"null"})) is OTHER_SITE
        # What a form of another site can send without being asked first (Fetch standard, CORS-safelisted types).
        for kind in (b"text/plain", b"application/x-www-form-urlencoded", b"multipart/form-data; boundary=x"):
            assert refused(who, Asked("POST", "/api/acts", {**OWN, b"content-type": kind})) is NOT_JSON
    assert refused(OPERATING, Asked("POST", "/api/acts", PROGRAM)) is OTHER_SITE, "a cookie without an origin"
    assert refused(HERE, Asked("POST", "/api/acts", PROGRAM)) is None, "a program at this computer"


METHODS = st.sampled_from(["GET", "HEAD", "OPTIONS", "POST", "PUT", "PATCH", "DELETE", "WEBSOCKET", "get", "FOO"])
PATHS = st.one_of(
    st.sampled_from(
        ["/", "/live", "/api/acts", "/api/state", "//api/acts", "/static/../api/state", "/pair/", "/devices/"]
    ),
    st.text(max_size=40).map(lambda text: f"/{text}"),
)
HEADERS = st.dictionaries(
    st.sampled_from([b"origin", b"host", b"content-type", b"sec-fetch-site", b"accept"]), st.binary(max_size=30)
)


@given(METHODS, PATHS, HEADERS)
def test_no_request_of_a_stranger_is_let_through_but_to_what_is_open(
    method: str, path: str, headers: dict[bytes, bytes]
) -> None:
    if refused(STRANGER, Asked(method, path, headers)) is None:
        assert path in ("/pair", "/api/pair", "/api/me") or path.startswith("/static/")


@given(METHODS, PATHS, HEADERS)
def test_no_request_of_one_who_watches_changes_anything(method: str, path: str, headers: dict[bytes, bytes]) -> None:
    if refused(WATCHING, Asked(method, path, headers)) is None and method not in (
        "GET",
        "HEAD",
        "OPTIONS",
        "WEBSOCKET",
    ):
        assert (
            path == "/api/pair"
            or path.startswith("/static/")
            or path == "/pair"
            or path == "/api/me"
            or (path.endswith(REQUESTS_THAT_ONLY_ASK))
        )
