"""The wheel carries the content, and works from a folder that is not the checkout."""

from __future__ import annotations

import subprocess
import sys
import tomllib
import zipfile
from pathlib import Path

import pytest

import benchtui
from benchtui import paths

ROOT = Path(__file__).resolve().parents[2]


def yaml_files(folder: Path) -> set[str]:
    return {str(path.relative_to(folder)) for path in folder.rglob("*.yaml")}


def test_the_version_is_the_same_in_both_places() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert project["version"] == benchtui.__version__


def test_shipped_content_is_found_from_the_checkout() -> None:
    assert yaml_files(paths.shipped("procedures"))
    assert yaml_files(paths.shipped("checklists"))


def test_the_user_folder_can_be_moved(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("BENCHTUI_HOME", str(tmp_path / "elsewhere"))
    assert paths.record_file() == tmp_path / "elsewhere" / "record.sqlite"


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the sdist, and the wheel built from that sdist."""
    target = tmp_path_factory.mktemp("dist")
    pip = [sys.executable, "-m", "pip", "--disable-pip-version-check"]
    code = "import hatchling.build, os, sys; os.chdir(sys.argv[1]);print(hatchling.build.build_sdist(sys.argv[2]))"
    # The build back end goes into a folder of its own: a test must not change the environment it runs in.
    tools = target / "tools"
    subprocess.run([*pip, "install", "--quiet", "--target", str(tools), "hatchling>=1.24"], check=True)
    environment = {"PYTHONPATH": str(tools), "PATH": "/usr/bin:/bin"}
    done = subprocess.run(
        [sys.executable, "-c", code, str(ROOT), str(target)],
        env=environment,
        check=True,
        capture_output=True,
        text=True,
    )
    sdist = target / done.stdout.strip().splitlines()[-1]
    subprocess.run([*pip, "wheel", "--quiet", "--no-deps", "--wheel-dir", str(target), str(sdist)], check=True)
    return target


def test_the_wheel_holds_every_content_file_and_runs_on_its_own(built: Path, tmp_path: Path) -> None:
    [wheel] = built.glob("*.whl")
    with zipfile.ZipFile(wheel) as archive:
        names = set(archive.namelist())
        archive.extractall(tmp_path)
    for folder in ("procedures", "checklists"):
        inside = {
            name.removeprefix(f"benchtui/_data/{folder}/")
            for name in names
            if name.startswith(f"benchtui/_data/{folder}/") and name.endswith(".yaml")
        }
        assert inside == yaml_files(ROOT / folder)
    done = subprocess.run(
        [
            sys.executable,
            "-c",
            "import benchtui, sys; print(benchtui.__file__); from benchtui.cli import main; sys.exit(main(['check']))",
        ],
        cwd=tmp_path,
        env={"PYTHONPATH": str(tmp_path), "PATH": "/usr/bin:/bin", "BENCHTUI_HOME": str(tmp_path / "home")},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    assert str(tmp_path) in done.stdout
