"""The running server under 24 hands at once: no edit lost, no error unhandled."""

from __future__ import annotations

import http.client
import json
import subprocess
import sys
import threading
from pathlib import Path
from urllib.parse import urlsplit

HANDS, EDITS = 24, 12
HEAD = "kind,marks,value,plus_minus,note\nfixed,A,0 0 0,,\n"


def entered(address: str) -> tuple[str, dict[str, str]]:
    """Host of the page and the headers of a browser that came in by its address."""
    at = urlsplit(address)
    line = http.client.HTTPConnection(at.netloc, timeout=60)
    line.request("GET", f"/?{at.query}", headers={"Host": at.netloc})
    cookie = line.getresponse().getheader("set-cookie", "").partition(";")[0]
    line.close()
    kind = {"Content-Type": "application/json", "Origin": f"http://{at.netloc}"}
    return at.netloc, {"Cookie": cookie, **kind}


def hand(number: int, host: str, headers: dict[str, str], answers: list[tuple[str, int]]) -> None:
    """One visitor: adds readings of its own, and between them asks and does what it should not."""
    line = http.client.HTTPConnection(host, timeout=60)

    def ask(method: str, path: str, body: bytes | None = None) -> int:
        line.request(method, path, body, headers)
        answer = line.getresponse()
        answer.read()
        answers.append((f"{method} {path}", answer.status))
        return answer.status

    odd = (
        ("POST", "/edit", b"{"),
        ("POST", "/edit", b'{"do": "drop", "line": 999999, "old": {}}'),
        ("GET", "/section/nothing", None),
        ("GET", "/assets/../../job.toml", None),
        ("GET", "/section/rows", None),
        ("POST", "/photo/none/trace", b"{}"),
    )
    for k in range(EDITS):
        row = {"kind": "height", "marks": f"H{number}x{k}", "value": str(100 + k)}
        body = json.dumps({"do": "add", "row": row}).encode()
        while ask("POST", "/edit", body) == 409:
            pass
        ask(*odd[(number + k) % len(odd)])
    line.close()


def test_twenty_four_hands_lose_no_edit(tmp_path: Path) -> None:
    job = tmp_path / "job"
    job.mkdir()
    (job / "readings.csv").write_text(HEAD)
    command = [sys.executable, "-m", "barwright.cli", "bench", str(job), "--no-browser"]
    answers: list[tuple[str, int]] = []
    with subprocess.Popen(
        [*command, "--port", "0", "--json"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    ) as server:
        assert server.stdout is not None
        assert server.stderr is not None
        try:
            host, headers = entered(json.loads(server.stdout.readline())["address"])
            hands = [
                threading.Thread(target=hand, args=(n, host, headers, answers))
                for n in range(HANDS)
            ]
            for one in hands:
                one.start()
            for one in hands:
                one.join()
        finally:
            server.terminate()
        said = server.stderr.read()
    marks = [x.split(",")[1] for x in (job / "readings.csv").read_text().splitlines()[2:]]
    assert sorted(marks) == sorted(f"H{n}x{k}" for n in range(HANDS) for k in range(EDITS))
    assert len(answers) >= 2 * HANDS * EDITS
    assert {status for _, status in answers if status >= 500} == set()
    assert "Traceback" not in said
