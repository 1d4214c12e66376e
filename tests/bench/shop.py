"""The site that is measured: generated data in a folder of its own."""

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import simplejson

from tests.second_opinion.generate import history

SEED = 7
ORDERS_A_VEHICLE = 3  # The generator makes a little more than this; what is too much is cut off.
ROOT = Path(__file__).resolve().parents[2]


class Shop:
    """An empty site to copy, a history of `orders` orders, and a site that has taken it in."""

    def __init__(self, folder: Path, orders: int, samples: int = 200_000, kept: Path | None = None) -> None:
        self.folder = folder
        self.kept = kept  # A site of the large history, filled where it is empty and left as it is
        self.orders = orders
        self.samples = samples
        self.history = folder / "history.jsonl"
        self.empty = folder / "empty"
        self.filled = folder / "filled"

    def prepare_empty(self) -> None:
        """Make the empty site only."""
        run_child(self.empty, "prepare")

    def prepare(self) -> dict[str, Any]:
        """Make all three; return what the import that filled the site says of itself."""
        write_history(self.history, self.orders)
        self.prepare_empty()
        shutil.copytree(self.empty, self.filled)
        return run_child(self.filled, "import", str(self.history))

    def copy_of_empty(self, name: str) -> Path:
        target = self.folder / name
        shutil.rmtree(target, ignore_errors=True)
        return Path(shutil.copytree(self.empty, target))


def write_history(path: Path, orders: int) -> None:
    left = orders
    with path.open("w", encoding="utf-8") as file:
        for line in history(SEED, orders // ORDERS_A_VEHICLE + 1):
            if line["record"] == "order":
                left -= 1
            if left < 0:
                return
            file.write(f"{simplejson.dumps(line, use_decimal=True)}\n")


def environment(data_dir: Path) -> dict[str, str]:
    """Return the environment of a process on the built-in database of this folder."""
    services = ("DATABASE_URL", "REDIS_URL")
    plain = {name: value for name, value in os.environ.items() if name not in services}
    return {**plain, "DATA_DIR": str(data_dir), "DJANGO_SETTINGS_MODULE": "shared.settings", "DEBUG": "0"}


def run_child(data_dir: Path, *command: str) -> dict[str, Any]:
    """Run one act of `tests.bench.child` as a process of its own, and return what it says."""
    answer = subprocess.run(
        [sys.executable, "-m", "tests.bench.child", *command],
        cwd=ROOT,
        env=environment(data_dir),
        check=True,
        stdout=subprocess.PIPE,
        text=True,
    )
    said: dict[str, Any] = json.loads(answer.stdout.splitlines()[-1])
    return said
