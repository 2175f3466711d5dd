"""The page's way to ask the server, and a demo with a plan."""

from __future__ import annotations

import json
import time
from pathlib import Path
from typing import Any

from starlette.testclient import TestClient

import nestcut
from nestcut.bench.app import make_app
from nestcut.bench.desk import Desk
from nestcut.bench.files import digest_of
from nestcut.bench.guard import Guard
from nestcut.bench.plans import Stage

PORT = 4711
KEY = "secret"


def client() -> TestClient:
    """A page that hasn't shown its key yet, of the folder that the process is in."""
    guard = Guard(make_app(Path()), PORT, KEY)
    return TestClient(guard, base_url=f"http://127.0.0.1:{PORT}")


def let_in() -> TestClient:
    """A page that has."""
    page = client()
    assert page.get("/", params={"key": KEY}, follow_redirects=False).status_code == 303
    return page


def desk_of(page: TestClient) -> Desk:
    """What the server behind a page works on."""
    desk: Desk = page.app.app.state.desk  # type: ignore[attr-defined]
    return desk


def told(page: TestClient) -> dict[str, Any]:
    answer: dict[str, Any] = page.get("/state").json()
    return answer


def post(page: TestClient, address: str, **message: Any) -> Any:
    return page.post(f"/{address}", content=json.dumps(message))


def change(page: TestClient, path: list[str | int], value: object, **more: Any) -> Any:
    """Set a value of the job as it stands."""
    seen = told(page)["job"]["digest"]
    return post(page, "set", **{"seen": seen, "path": path, "value": value, "what": "x", **more})


def wait_for(desk: Desk) -> None:
    """Wait until the search has ended; a busy machine takes its time."""
    for _ in range(2400):
        if desk.plans.search.stage is not Stage.RUNNING:
            return
        time.sleep(0.1)


def planned(page: TestClient) -> dict[str, Any]:
    """Open the demo with a plan, made here to spare a process."""
    assert page.post("/demo").status_code == 200
    desk = desk_of(page)
    job = nestcut.read_job("demo.toml")
    done = nestcut.plan_job(job, nestcut.Budget(effort=nestcut.Effort.QUICK))
    keeper = desk.work.at_hand
    keeper.change("planned", seen=digest_of(keeper.current.job), plan=nestcut.plan_text(done))
    return told(page)
