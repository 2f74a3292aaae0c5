"""``boostwright serve`` as a user has it: a process of its own on the loopback, killed, crowded and cheated."""

from __future__ import annotations

import contextlib
import http.client
import random
import socket
import subprocess
import threading
import time
import tomllib
import urllib.request
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from served import EXAMPLES, PROGRAM, Served, copy_of

from boostwright.tasks.predict import predict


@pytest.fixture(scope="module", autouse=True)
def compiled() -> None:
    """The solver is there as machine code, whatever was changed in it: that takes longer than any answer may."""
    predict(EXAMPLES / "hill_climb_estate", speeds=[300.0])


@pytest.fixture
def sockets() -> Iterator[Callable[[int], socket.socket]]:
    """Makes connections that are closed whatever happens."""
    with contextlib.ExitStack() as stack:
        yield lambda port: stack.enter_context(socket.create_connection(("127.0.0.1", port), timeout=10))


def _stamp(server: Served) -> str:
    status, answer = server.ask("/api/build/stamp")
    assert status == 200
    return str(answer["stamp"])


def test_a_session_from_the_link_to_a_saved_value(tmp_path: Path) -> None:
    folder = copy_of("hill_climb_estate", tmp_path)
    with Served(folder) as server:
        assert server.ask("/api/session")[1]["build"] == folder.name
        status, form = server.ask("/api/build")
        assert (status, form["faults"]) == (200, [])
        status, live = server.ask("/api/live", {"changes": {"turbine.choked_flow": "0.027 kg/s*sqrt(K)/kPa"}})
        assert status == 200
        assert max(value for value in live["quantities"]["torque"] if value) > 200.0
        saved = {"changes": {"turbine.choked_flow": "0.027 kg/s*sqrt(K)/kPa"}, "stamp": form["stamp"]}
        assert server.ask("/api/build/save", saved)[0] == 200
        assert 'choked_flow = "0.027 kg/s*sqrt(K)/kPa"' in (folder / "build.toml").read_text(encoding="utf-8")


def test_without_a_build_the_folder_is_listed_and_one_is_made(tmp_path: Path) -> None:
    copy_of("hill_climb_estate", tmp_path, "mine")
    with Served(None, where=tmp_path) as server:
        assert server.ask("/api/session")[1]["build"] is None
        assert server.ask("/api/build")[0] == 404
        assert [one["name"] for one in server.ask("/api/builds")[1]["builds"]] == ["mine"]
        assert server.ask("/api/builds", {"from": "transverse-three", "name": "yours"})[0] == 200
        assert server.ask("/api/build")[1]["name"] == "yours"
    assert (tmp_path / "yours" / "build.toml").is_file()


@pytest.mark.parametrize("place", ["car", ".hidden/car", "cards/car", "a/b/c/d/car", ".car"])
def test_a_build_is_found_wherever_it_lies(tmp_path: Path, place: str) -> None:
    folder = copy_of("transverse_three", tmp_path, place)
    with Served(folder, where=tmp_path) as server:
        assert server.ask("/api/build")[1]["title"] == "Transverse three"


def test_it_listens_on_the_loopback_alone(tmp_path: Path) -> None:
    with Served(copy_of("hill_climb_estate", tmp_path)) as server:
        listening = [line.split() for line in Path("/proc/net/tcp").read_text().splitlines()[1:]]
        ours = {
            line[1].split(":")[0]
            for line in listening
            if line[1].endswith(f":{server.port:04X}") and line[3] == "0A"
        }
        assert ours == {"0100007F"}
        assert not any(
            f":{server.port:04X} " in line for line in Path("/proc/net/tcp6").read_text().splitlines()[1:]
        )


def test_the_token_is_new_at_every_start_and_the_port_comes_back(tmp_path: Path) -> None:
    folder = copy_of("hill_climb_estate", tmp_path)
    with Served(folder) as one, Served(folder) as other:
        assert one.token != other.token
        assert len(one.token) > 40
        assert one.port != other.port
        status, _ = other.ask("/api/session", Authorization=f"Bearer {one.token}")
        assert status == 401
        port = one.port
        one.kill()
        with Served(folder) as again:
            assert again.port == port


def test_a_port_that_is_taken_is_said_in_a_sentence(tmp_path: Path) -> None:
    folder = copy_of("hill_climb_estate", tmp_path)
    with Served(folder) as server:
        again = [*PROGRAM, "serve", str(folder), "--no-browser", "--port", str(server.port)]
        done = subprocess.run(again, capture_output=True, text=True, timeout=60, check=False)
        assert done.returncode == 2
        assert "cannot be used" in done.stderr
        assert "Traceback" not in done.stderr
    done = subprocess.run(
        [*PROGRAM, "serve", str(tmp_path / "none")], capture_output=True, text=True, timeout=60, check=False
    )
    assert done.returncode == 2
    assert "build.toml" in done.stderr


def test_requests_that_are_not_ours_get_nothing(tmp_path: Path) -> None:
    with Served(copy_of("hill_climb_estate", tmp_path)) as server:
        for headers in (
            {"Host": f"example.org:{server.port}"},
            {"Host": "example.org"},
            {"Origin": "http://example.org"},
            {"Origin": "null"},
            {"Sec-Fetch-Site": "cross-site"},
        ):
            assert server.ask("/api/session", **headers)[0] == 403
        assert server.ask("/api/session", Authorization="")[0] == 401
        request = urllib.request.Request(f"{server.address}/api/session", method="OPTIONS")
        request.add_header("Origin", "http://example.org")
        with pytest.raises(urllib.error.HTTPError) as refused:
            urllib.request.urlopen(request, timeout=10)
        with refused.value as answer:
            assert not any(name.lower().startswith("access-control") for name in answer.headers)


def test_a_crowd_of_oversized_and_slow_senders_does_not_stop_it(
    tmp_path: Path, sockets: Callable[[int], socket.socket]
) -> None:
    with Served(copy_of("hill_climb_estate", tmp_path)) as server:
        head = f"POST /api/live HTTP/1.1\r\nHost: 127.0.0.1:{server.port}\r\nAuthorization: Bearer {server.token}\r\n"
        head += "Content-Type: application/json\r\n"
        slow = []
        for _ in range(12):
            one = sockets(server.port)
            one.sendall((head + "Content-Length: 100\r\n\r\n{").encode())
            slow.append(one)
        large = sockets(server.port)
        large.sendall((head + "Content-Length: 999999999999\r\n\r\n").encode())
        assert b" 413 " in large.recv(200)
        large.close()
        endless = sockets(server.port)
        endless.sendall((head + "Transfer-Encoding: chunked\r\n\r\n").encode())
        answer = b""
        with contextlib.suppress(OSError):  # it hangs up, as it should
            for _ in range(200):
                endless.sendall(b"10000\r\n" + b"x" * 0x10000 + b"\r\n")
        with contextlib.suppress(OSError):
            answer = endless.recv(200)
        assert not answer or b" 413 " in answer
        endless.close()
        long_head = sockets(server.port)
        long_head.sendall(b"GET /" + b"a" * 100_000 + b" HTTP/1.1\r\n")
        assert long_head.recv(200).startswith((b"HTTP/1.1 4", b""))
        long_head.close()
        began = time.perf_counter()
        assert server.ask("/api/live", {"changes": {}})[0] == 200
        assert time.perf_counter() - began < 20.0
        for one in slow:
            one.close()


def test_a_server_killed_while_saving_leaves_a_whole_file_each_time(tmp_path: Path) -> None:
    folder = copy_of("hill_climb_estate", tmp_path)
    path = folder / "build.toml"
    rng = random.Random(2)
    written = set()
    for _ in range(5):
        server = Served(folder)
        stop, begun = threading.Event(), threading.Event()

        def save(
            server: Served = server, stop: threading.Event = stop, begun: threading.Event = begun
        ) -> None:
            turn = 0
            stamp = _stamp(server)
            while not stop.is_set():
                turn += 1
                try:
                    changes = {
                        "engine.bore": f"{82 + rng.random():.3f} mm",
                        "exhaust.bore": f"{70 + turn % 9} mm",
                    }
                    status, answer = server.ask("/api/build/save", {"changes": changes, "stamp": stamp})
                except (OSError, http.client.HTTPException):
                    return
                if status in (200, 409):
                    stamp = answer["stamp"]
                    begun.set()

        worker = threading.Thread(target=save)
        worker.start()
        assert begun.wait(30.0)
        time.sleep(rng.uniform(0.0, 0.3))
        server.kill()
        stop.set()
        worker.join()
        data = tomllib.loads(path.read_text(encoding="utf-8"))
        assert data["engine"]["stroke"] == "92 mm"
        assert "# stock pistons" in path.read_text(encoding="utf-8") or "stock pistons" in path.read_text(
            encoding="utf-8"
        )
        written.add(data["engine"]["bore"])
    assert len(written) > 1, "no save was under way"


def test_two_pages_and_an_editor_lose_nothing(tmp_path: Path) -> None:
    """Two pages and an editor write in turn, each its own key; every key ends as its owner last wrote it."""
    folder = copy_of("hill_climb_estate", tmp_path)
    path = folder / "build.toml"
    with Served(folder) as server:
        stamps = {"one": _stamp(server), "two": _stamp(server)}
        keys = {"one": "engine.bore", "two": "exhaust.bore"}
        told = 0
        for turn in range(12):
            if turn % 3 == 0:
                text = path.read_text(encoding="utf-8")
                lines = [line for line in text.splitlines() if not line.startswith("# turn")]
                path.write_text("\n".join([*lines, f"# turn {turn}"]) + "\n", encoding="utf-8")
            for page, key in keys.items():
                changes = {key: f"{80 + turn / 10:.1f} mm" if page == "one" else f"{70 + turn / 10:.1f} mm"}
                status, answer = server.ask("/api/build/save", {"changes": changes, "stamp": stamps[page]})
                if status == 409:
                    told += 1
                    status, answer = server.ask(
                        "/api/build/save", {"changes": changes, "stamp": answer["stamp"]}
                    )
                assert status == 200
                stamps[page] = answer["stamp"]
        assert told >= 12
        data = tomllib.loads(path.read_text(encoding="utf-8"))
        assert (data["engine"]["bore"], data["exhaust"]["bore"]) == ("81.1 mm", "71.1 mm")
        assert "# turn 9" in path.read_text(encoding="utf-8")


def test_ctrl_c_ends_it_with_code_0(tmp_path: Path) -> None:
    server = Served(copy_of("hill_climb_estate", tmp_path))
    server.ask("/api/session")
    server.stop()
    assert server.process.returncode == 0
    assert "Traceback" not in server.words
