"""Results that travel by an object store, between workers that share nothing."""

from __future__ import annotations

import contextlib
import json
import os
import socket
import subprocess
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from pausewright.deliver.build import Options, build_versions
from pausewright.offline import connections_refused, store_allowed
from pausewright.problems import OutputError
from pausewright.season import carrying
from pausewright.season import store as stores
from pausewright.season.asks import Making, Parcel
from pausewright.season.run import WORK, SeasonAsk, SeasonMade, make_season
from pausewright.season.store import HERE, Store, StoreError, place_in
from support.seasons.cluster import Cluster, child_environment, free_port, season_command
from support.seasons.inline import InlineEngine
from support.seasons.kills import TWO, results
from support.seasons.names import BLIND

pytest.importorskip("fsspec", reason="fsspec comes with the extra ‘season’")

import fsspec
from make_season import write_season

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from pausewright.season.asks import Outcome
    from pausewright.season.graph import Task

BUCKET = "tests"
KEYS = {"AWS_ACCESS_KEY_ID": "made-up", "AWS_SECRET_ACCESS_KEY": "made-up"}
"""A store for tests lets everybody in, but its library wants keys."""


@pytest.fixture(autouse=True)
def _hasty(monkeypatch: pytest.MonkeyPatch) -> None:
    """Wait for no store."""
    monkeypatch.setattr(stores, "PAUSES_S", (0.01, 0.01))


class Carrier(InlineEngine):
    """Workers that see no folder; it keeps what travelled."""

    parcels: list[Parcel]

    def next(self, patience_s: float) -> tuple[str, Outcome] | None:
        """Do the next task, and note what it sends."""
        ended = super().next(patience_s)
        if ended is not None:
            self.parcels.append(getattr(ended[1].value, "parcel", ()))
        return ended


def _made(folder: Path, url: str, engine: InlineEngine) -> SeasonMade:
    ask = SeasonAsk(folder, folder / "out", Making(("wav",)), carried="store", store=url)
    return make_season(ask, engine, lambda _: None)


def _held(out: Path) -> dict[str, tuple[bytes, int]]:
    return {
        file.relative_to(out).as_posix(): (file.read_bytes(), file.stat().st_mode)
        for file in sorted(out.rglob("*"))
        if file.is_file() and WORK not in file.parts and file.parent != out
    }


@pytest.mark.usefixtures("voice")
@pytest.mark.parametrize("protocol", ["file", "memory"])
def test_files_travel_by_the_store(tmp_path: Path, protocol: str) -> None:
    """As `build` writes them; through the engine goes no byte of a file, and nothing is left."""
    season = tmp_path / "season"
    write_season(season, 2, ["joe"], 1, TWO)
    root = tmp_path / "store" if protocol == "file" else Path("/season-test")
    engine = Carrier(sees_folder=False)
    engine.parcels = []
    made = _made(season, f"{protocol}://{root}", engine)

    assert made.counts.n_made == 2
    assert made.counts.n_voiced == made.counts.n_takes
    for script in sorted(season.glob("*.md")):
        build_versions(script, Options(season / ".alone", ("wav",)))
    assert _held(season / "out") == _held(season / ".alone")
    sent = [one for parcel in engine.parcels for one in parcel]
    assert len(sent) > 60
    assert all(not isinstance(one.content, bytes) for one in sent)
    files, at = fsspec.url_to_fs(f"{protocol}://{root}")
    assert files.find(at) == []
    if protocol == "file":
        assert {one.stat().st_mode & 0o77 for one in root.rglob("*")} <= {0}


@pytest.mark.usefixtures("voice")
@pytest.mark.parametrize("harm", ["cut", "gone"])
def test_what_the_store_loses_is_made_again(tmp_path: Path, harm: str) -> None:
    """A part is cut short, or removed, before it is used: found by its hash, and made once more."""
    season, root = tmp_path / "season", tmp_path / "store"
    write_season(season, 1, ["joe"], 1, TWO)
    harmed: list[Path] = []

    def spoil(task: Task) -> None:
        if task.kind == "check" and not harmed:
            harmed.extend(one for one in root.glob("*/parts/*-lay/*") if one.stat().st_size > 1000)
            for one in harmed:
                if harm == "gone":
                    one.unlink()
                else:
                    os.truncate(one, 1000)
            _forget_scratch()

    made = _made(season, f"file://{root}", InlineEngine(spoil, sees_folder=False))

    assert harmed
    assert made.counts.n_made == 1
    assert made.is_good
    assert not made.table.not_made


def _forget_scratch() -> None:
    """Be another worker, with nothing at hand."""
    carrying._scratch.cache_clear()


def test_nothing_half_written_counts(tmp_path: Path) -> None:
    """An object that was cut is refused, removed, and can be put again; a whole one stays."""
    store = Store(f"file://{tmp_path / 'store'}")
    whole = bytes(range(256)) * 9
    stored = store.into("parts/a")(whole)
    file = tmp_path / "store" / stored.name
    before_ns = file.stat().st_mtime_ns
    assert store.into("parts/a")(whole) == stored
    assert (store.get(stored), file.stat().st_mtime_ns) == (whole, before_ns)

    file.write_bytes(whole[:-1] + b"\0")  # of the same size: only its hash tells
    with pytest.raises(StoreError, match="it is not whole"):
        store.get(stored)
    assert not file.exists()
    with pytest.raises(StoreError, match="does not give parts/a/"):
        store.get(stored)
    assert store.get(store.into("parts/a")(whole)) == whole


def test_a_store_that_nobody_reaches_is_told(tmp_path: Path) -> None:
    """Before anything is voiced, in one sentence: not there, and no library for it."""
    (tmp_path / "file").write_bytes(b"")
    with (
        pytest.raises(OutputError, match=r"file/pausewright-.* cannot be made"),
        place_in(f"file://{tmp_path / 'file'}", tmp_path, "7", []),
    ):
        pass
    with pytest.raises(OutputError, match="cannot be used: Protocol not known"):
        Store("nothing-like-that://tests")
    assert "does not give here" in Store(f"file://{tmp_path / 'empty'}").reached("7")


def test_the_place_of_a_killed_run_is_found_again(tmp_path: Path) -> None:
    """It has one name for a folder of results, and is removed by the run that ends."""
    url = f"file://{tmp_path / 'store'}"
    with place_in(url, tmp_path, "7", []) as place:
        assert Store(place).reached("7") == ""
        assert "it is not whole" in Store(place).reached("8")
        file = tmp_path / "store" / place.rpartition("/")[2] / HERE
        assert file.read_text("utf-8") == "7"
        with contextlib.suppress(KeyboardInterrupt), place_in(url, tmp_path, "7", []) as other:
            assert other == place
            raise KeyboardInterrupt
    assert not file.parent.exists()


def test_what_stays_in_a_store_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A store that is away at the end spoils nothing that was made, and that is said."""

    def away(*_: object, **__: object) -> None:
        raise OSError("no route to it")

    notes: list[str] = []
    with place_in(f"file://{tmp_path / 'store'}", tmp_path, "7", notes):
        monkeypatch.setattr("fsspec.implementations.local.LocalFileSystem.rm", away)
    assert len(notes) == 1
    assert "does not remove what lies in it: no route to it; tests lie there" in notes[0]


def test_only_the_store_is_spoken_with() -> None:
    """Where connections are refused, one is made while something is put or got, and at no other."""
    with connections_refused():
        with pytest.raises(ConnectionError, match="makes no connections"):
            socket.create_connection(("127.0.0.1", free_port()))
        with store_allowed(), pytest.raises(ConnectionRefusedError):
            socket.create_connection(("127.0.0.1", free_port()))
        with pytest.raises(ConnectionError, match="makes no connections"):
            socket.create_connection(("127.0.0.1", free_port()))


@pytest.fixture
def bucket() -> Iterator[tuple[str, Mapping[str, str]]]:
    """Start moto, an independent implementation of the S3 protocol, with an empty bucket."""
    server = pytest.importorskip(
        "moto.server", reason="pip install s3fs 'moto[s3]' flask flask-cors"
    )
    s3fs = pytest.importorskip("s3fs", reason="pip install s3fs")
    port = free_port()
    running = server.ThreadedMotoServer(ip_address="127.0.0.1", port=port, verbose=False)
    running.start()
    told = {**KEYS, "FSSPEC_S3_ENDPOINT_URL": f"http://127.0.0.1:{port}"}
    try:
        keys = {"key": "made-up", "secret": "made-up"}
        s3fs.S3FileSystem(endpoint_url=told["FSSPEC_S3_ENDPOINT_URL"], **keys).mkdir(BUCKET)
        yield f"s3://{BUCKET}/a/b", told
    finally:
        running.stop()


@pytest.fixture
def files(bucket: tuple[str, Mapping[str, str]], monkeypatch: pytest.MonkeyPatch) -> Any:
    """Return the bucket as this process sees it, with settings as a person gives them."""
    for name, value in bucket[1].items():
        monkeypatch.setenv(name, value)
    settings = {"endpoint_url": bucket[1]["FSSPEC_S3_ENDPOINT_URL"]}
    monkeypatch.setitem(fsspec.config.conf, "s3", settings)
    return fsspec.filesystem("s3", skip_instance_cache=True, use_listings_cache=False)


def test_a_bucket_is_a_store(
    tmp_path: Path, bucket: tuple[str, Mapping[str, str]], files: Any
) -> None:
    """By s3fs, where all other connections are refused: put, got, found changed, put again."""
    whole, notes = bytes(range(256)) * 99, list[str]()
    with connections_refused(), place_in(bucket[0], tmp_path, "7", notes) as url:
        store = Store(url)
        assert store.reached("7") == ""
        assert "it is not whole" in store.reached("8")
        stored = store.into("parts/a")(whole)
        assert store.get(stored) == whole
        at = f"{url.removeprefix('s3://')}/{stored.name}"
        with store_allowed():
            files.pipe_file(at, whole[:-1] + b"\0")
        with pytest.raises(StoreError, match="it is not whole"):
            store.get(stored)
        with store_allowed():
            assert not files.exists(at)
        assert store.get(store.into("parts/a")(whole)) == whole
    assert files.find(BUCKET) == []
    assert notes == []


def _by_workers_that_share_nothing(tmp_path: Path, url: str, told: Mapping[str, str]) -> None:
    """Make a season on two programs that cannot open its folders, and compare it."""
    season = tmp_path / "shared" / "season"
    write_season(season, 2, ["joe"], 1, TWO)
    environment = {**child_environment(), **told}
    out = tmp_path / "shared" / "out"
    apart = {**told, BLIND: str(tmp_path / "shared")}
    with Cluster(tmp_path / "dask", 2, apart) as cluster:
        command = season_command(
            season, "--out", str(out), "--scheduler", cluster.address, "--results", url
        )
        done = subprocess.run(
            command, env=environment, capture_output=True, check=False, encoding="utf-8"
        )
    assert done.returncode == 0, done.stderr
    assert json.loads(done.stdout)["n_made"] == 2
    alone = tmp_path / "alone"
    command = season_command(season, "--out", str(alone), "--workers", "1")
    subprocess.run(command, env=environment, check=True, capture_output=True)
    assert results(out) == results(alone)


@pytest.mark.long
def test_programs_that_share_nothing_but_a_store(tmp_path: Path) -> None:
    """Two workers that see neither scripts nor results make the same bytes by file://."""
    _by_workers_that_share_nothing(tmp_path, f"file://{tmp_path / 'store'}", {})
    assert not list((tmp_path / "store").iterdir())


@pytest.mark.long
def test_programs_that_share_nothing_but_a_bucket(
    tmp_path: Path, bucket: tuple[str, Mapping[str, str]], files: Any
) -> None:
    """The same by s3://, and the bucket is empty afterwards."""
    _by_workers_that_share_nothing(tmp_path, *bucket)
    assert files.find(BUCKET) == []
