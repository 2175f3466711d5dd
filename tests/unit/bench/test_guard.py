"""Who may ask, and what is refused before anything is done with it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.requests import ClientDisconnect
from starlette.testclient import TestClient

from nestcut.bench.guard import COOKIE, MAX_UPLOAD_BYTES
from nestcut.bench.messages import MessageError, Push, SetValue, read_message
from tests.unit.bench.asking import KEY, PORT, change, client, let_in, planned, post, told


@pytest.mark.parametrize(
    "headers",
    [
        {"host": "boat.example"},
        {"host": f"192.168.0.9:{PORT}"},
        {"host": f"127.0.0.1:{PORT + 1}"},
        {"origin": "http://boat.example"},
        {"origin": "null"},
        {"sec-fetch-site": "cross-site"},
        {"cookie": f"{COOKIE}=guess"},
        {"cookie": ""},
    ],
)
def test_strangers_are_refused(page: TestClient, headers: dict[str, str]) -> None:
    page.post("/demo")
    if "cookie" in headers:
        page.cookies.clear()
    for method, address in (("GET", "/state"), ("POST", "/undo"), ("GET", "/page/main.js")):
        answer = page.request(method, address, headers=headers)
        assert answer.status_code == 403
        assert "knee" not in answer.text


def test_the_key_is_needed_and_a_wrong_one_opens_nothing(folder: Path) -> None:
    del folder
    stranger = client()
    assert stranger.get("/").status_code == 403
    assert stranger.get("/", params={"key": "other"}).status_code == 403
    answer = stranger.get("/", params={"key": KEY}, follow_redirects=False)
    cookie = answer.headers["set-cookie"].lower()
    assert "httponly" in cookie
    assert "samesite=strict" in cookie
    assert KEY not in answer.headers["location"]


def test_every_answer_carries_a_strict_policy(page: TestClient) -> None:
    for address in ("/", "/state", "/page/main.js", "/picture/none.dxf"):
        policy = page.get(address).headers["content-security-policy"]
        assert "default-src 'none'" in policy
        assert "unsafe" not in policy
        assert page.get(address).headers["x-content-type-options"] == "nosniff"


def test_papers_in_a_frame_cannot_ask_the_server(page: TestClient) -> None:
    planned(page)
    assert post(page, "papers").status_code == 200
    policy = page.get("/papers/shop.html").headers["content-security-policy"]
    assert policy.startswith("sandbox ")
    assert "allow-same-origin" not in policy


def test_too_much_is_refused_before_it_is_read(page: TestClient, folder: Path) -> None:
    answer = page.post(
        "/upload?name=big.dxf", content=b"", headers={"content-length": str(MAX_UPLOAD_BYTES + 1)}
    )
    assert answer.status_code == 413
    assert list(folder.iterdir()) == []


@pytest.mark.parametrize("pieces", [3, 5])
def test_a_request_that_names_no_length_is_counted(
    folder: Path, monkeypatch: pytest.MonkeyPatch, pieces: int
) -> None:
    monkeypatch.setattr("nestcut.bench.guard.MAX_UPLOAD_BYTES", 40)
    page = let_in()

    def in_pieces() -> Iterator[bytes]:
        yield from [b"ten bytes!"] * pieces

    try:
        page.post("/upload", params={"name": "a.dxf"}, content=in_pieces())
    except ClientDisconnect:
        assert pieces == 5
    assert [p.name for p in folder.glob("*.dxf")] == (["a.dxf"] if pieces == 3 else [])


@pytest.mark.parametrize(
    "name",
    ["../out.dxf", "/etc/passwd", "..", ".hidden.dxf", "boat.exe", "", "a/b.toml", "x\0.dxf"],
)
def test_only_files_of_the_folder_exist(page: TestClient, folder: Path, name: str) -> None:
    (folder.parent / "secret.toml").write_text("[job]\n")
    (folder / "link.toml").symlink_to(folder.parent / "secret.toml")
    assert page.get("/papers/../../secret.toml").status_code in {400, 404}
    assert post(page, "open", file="link.toml").status_code == 404
    assert post(page, "open", file=name).status_code == 404
    page.post("/upload", params={"name": name}, content=b"x")
    outside = {p.name for p in folder.parent.iterdir()} - {"boat", "secret.toml"}
    assert outside == set()


def test_an_upload_never_replaces_another_file(page: TestClient, folder: Path) -> None:
    for content in (b"one", b"two", b"one"):
        page.post("/upload", params={"name": "a.dxf"}, content=content)
    assert {p.name: p.read_bytes() for p in folder.glob("*.dxf")} == {
        "a.dxf": b"one",
        "a 2.dxf": b"two",
    }


@pytest.mark.parametrize(
    ("kind", "body"),
    [
        (SetValue, b"nonsense"),
        (SetValue, b"[]"),
        (SetValue, b'{"seen": "", "path": "part", "value": 1, "what": ""}'),
        (SetValue, b'{"seen": "", "path": [-1], "value": 1, "what": ""}'),
        (SetValue, b'{"seen": "", "path": ["a"], "value": 1, "what": "", "more": 1}'),
        (
            Push,
            b'{"piece":"a","sheet":1,"shift_mm":[NaN,1],"turn_deg":0,"face_down":0,"keeps":true}',
        ),
        (
            Push,
            b'{"piece":"a","sheet":true,"shift_mm":[1,1],"turn_deg":0,"face_down":false,"keeps":true}',
        ),
    ],
)
def test_messages_that_are_not_as_agreed_are_refused(kind: type, body: bytes) -> None:
    with pytest.raises(MessageError):
        read_message(body, kind)


def test_names_stay_text(page: TestClient) -> None:
    page.post("/demo")
    nasty = '<img src=x onerror="alert(1)">'
    assert change(page, ["part", 0, "name"], nasty).status_code == 200
    state = told(page)
    assert state["view"]["parts"][0]["name"] == nasty
    assert nasty not in page.get("/").text
