"""Killed, out of space, not allowed to write: nothing that was acknowledged is lost, and the words say what to do.

Row H4 (ALCOA: enduring, contemporaneous). The same through the real program on a pseudo-terminal is in tests/terminal.
"""

from __future__ import annotations

import os
import random
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import pytest
from helpers.record_writer import LONG

from benchtui.jobs.run import record_job
from benchtui.jobs.steps import Status
from benchtui.record.store import Store
from benchtui.record.verify import verify

TESTS = Path(__file__).resolve().parents[1]
ROOT = TESTS.parent


def run_and_kill(record: Path, seconds: float) -> list[str]:
    """Let the writer work for a while, kill it outright, and give every line it had time to say."""
    writer = subprocess.Popen(
        [sys.executable, "-m", "helpers.record_writer", str(record)],
        stdout=subprocess.PIPE,
        env={**os.environ, "PYTHONPATH": f"{TESTS}{os.pathsep}{ROOT}"},
        text=True,
    )
    assert writer.stdout is not None
    lines = [writer.stdout.readline().strip()]
    time.sleep(seconds)
    writer.kill()
    rest, _ = writer.communicate()
    # A line cut off by the kill was not said.
    whole = rest[: rest.rfind("\n") + 1]
    return [*lines, *whole.splitlines()]


def killed_many_times(record: Path, times: int) -> None:
    dice = random.Random(500)
    said: list[str] = []
    for _ in range(times):
        lines = run_and_kill(record, dice.uniform(0.0, 0.25))
        said += lines[1:]
        with Store.open(record, read_only=True) as store:
            state = record_job(store, store.jobs()[0].job).state
        done = [line.removeprefix("done ") for line in said if line.startswith("done ")]
        assert all(state[key].status is Status.DONE for key in done), "an acknowledged mark was lost"
        if said and said[-1].startswith("begun "):
            assert state[said[-1].removeprefix("begun ")].status in (Status.BEGUN, Status.DONE)
        place = LONG.places[state.current]
        assert 0 <= place - len(done) <= 1, "the place is that of the last mark, or of one written and not yet said"
        said = [f"done {step.key}" for step in LONG.steps[:place]]
    with Store.open(record) as store:
        assert verify(store) == ()
        assert record_job(store, store.jobs()[0].job).conflicts == ()


def test_killed_at_random_moments_no_acknowledged_event_is_lost(tmp_path: Path) -> None:
    killed_many_times(tmp_path / "record.sqlite", 3)


@pytest.mark.long
def test_killed_at_five_hundred_random_moments(tmp_path: Path) -> None:
    for part in range(20):  # a new record now and then, for the job has an end
        killed_many_times(tmp_path / f"record-{part}.sqlite", 25)


@pytest.mark.skipif(sys.platform == "win32", reason="a limit on the size of files is set the Unix way")
def test_when_the_disk_fills_up_the_program_says_so_and_what_was_saved_stays(tmp_path: Path) -> None:
    record = tmp_path / "record.sqlite"
    code = (
        "import resource, runpy, signal, sys\n"
        "signal.signal(signal.SIGXFSZ, signal.SIG_IGN)\n"
        "resource.setrlimit(resource.RLIMIT_FSIZE, (3_000_000, 3_000_000))\n"
        f"sys.argv = ['writer', {str(record)!r}]\n"
        "runpy.run_module('helpers.record_writer', run_name='__main__')\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        env={**os.environ, "PYTHONPATH": f"{TESTS}{os.pathsep}{ROOT}"},
        check=False,
    )
    assert done.returncode != 0
    assert "the last act was not saved" in done.stderr
    marks = [line.removeprefix("done ") for line in done.stdout.splitlines() if line.startswith("done ")]
    assert len(marks) > 10
    with Store.open(record) as store:
        state = record_job(store, store.jobs()[0].job).state
        assert all(state[key].status is Status.DONE for key in marks)
        assert verify(store) == ()
        store.append("note", data={"text": "space again"})


@pytest.mark.skipif(sys.platform == "win32", reason="permissions are set the Unix way")
@pytest.mark.parametrize("existing", [True, False])
def test_in_a_folder_that_may_not_be_written_to_the_record_is_read_and_says_why(existing: bool) -> None:
    folder = Path(tempfile.mkdtemp(prefix="benchtui-readonly-"))
    try:
        record = folder / "record.sqlite"
        if existing:
            with Store.open(record) as store:
                store.append("note", data={"text": "kept"})
            for left in folder.glob("record.sqlite-*"):
                left.unlink()
            (folder / "record.sqlite.lock").unlink()
        for path in folder.iterdir():
            path.chmod(0o444)
        folder.chmod(0o555)
        code = (
            "import os\n"
            "from pathlib import Path\n"
            "from benchtui.errors import RecordError\n"
            "from benchtui.record.store import Store\n"
            "if os.getuid() == 0: os.setuid(65534)\n"  # root may write anywhere
            f"with Store.open(Path({str(record)!r})) as store:\n"
            "    print(store.notice)\n"
            "    print(len(store.events()))\n"
            "    try: store.append('note', data={})\n"
            "    except RecordError as error: print(error)\n"
        )
        done = subprocess.run(
            [sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT, check=False, env={**os.environ}
        )
        assert done.returncode == 0, done.stderr
        notice, count, refusal = done.stdout.splitlines()
        assert "cannot be written to" in notice
        assert count == ("1" if existing else "0")
        assert "nothing was saved" in refusal
    finally:
        folder.chmod(0o755)
        shutil.rmtree(folder)
