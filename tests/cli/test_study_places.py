"""Where the work of a study is done: here, in several processes, on a cluster."""

import subprocess
import sys

import msgspec
import pytest

from lightoff.cli import study_places
from lightoff.cli.study_places import Place, place_for
from lightoff.engine.reasoning.study import work
from lightoff.engine.reasoning.study.records import outcomes
from tests.cli.studies import TWO, lines, run


def test_any_number_of_processes_and_a_cluster_write_the_same_lines(tmp_path):
    from distributed import LocalCluster

    paths = {}
    for workers in (1, 2):
        paths[workers] = tmp_path / f"{workers}.jsonl"
        assert run(*TWO, "--workers", workers, "--out", paths[workers]).exit_code == 0
    paths["cluster"] = tmp_path / "cluster.jsonl"
    with LocalCluster(
        n_workers=1, threads_per_worker=2, processes=False, dashboard_address=None
    ) as cluster:
        address = cluster.scheduler_address
        result = run(*TWO, "--cluster", address, "--out", paths["cluster"])
        assert result.exit_code == 0, result.stderr
    one, *others = (lines(path) for path in paths.values())
    assert len(one) == 2
    assert all(other == one for other in others)
    assert all(outcome.right for outcome in outcomes(paths[1]))


def test_nobody_at_the_address_of_a_cluster_is_one_line(monkeypatch):
    monkeypatch.setattr(study_places, "ANSWERS_WITHIN", 1)
    code = (
        "from lightoff.cli import study_places; study_places.ANSWERS_WITHIN = 1; "
        "from lightoff.cli.main import main; main()"
    )
    command = [sys.executable, "-c", code, "study", "--cluster", "tcp://127.0.0.1:9"]
    result = subprocess.run(command, capture_output=True, text=True, check=False)
    assert result.returncode == 2
    assert len(result.stderr.splitlines()) == 1
    assert "no Dask scheduler answers at tcp://127.0.0.1:9" in result.stderr


def test_a_worker_with_other_files_is_refused():
    other = msgspec.structs.replace(work.stamp_now(), knowledge="older")
    with pytest.raises(Exception, match="install the same state of lightoff"):
        study_places.check_stamp(other)


def test_a_study_runs_here_unless_a_cluster_is_named(monkeypatch):
    monkeypatch.setattr(study_places, "on_cluster", lambda address: f"cluster {address}")
    assert isinstance(place_for(None, 2), Place)
    assert place_for("tcp://x:1", None) == "cluster tcp://x:1"
