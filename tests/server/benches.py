"""Worker processes and what they say."""

import subprocess
import sys
from pathlib import Path

WORKER = Path(__file__).with_name("bench_worker.py")


class Bench:
    """One worker process."""

    def __init__(self, env: dict[str, str], *words: str) -> None:
        self.process = subprocess.Popen(
            [sys.executable, str(WORKER), *words],
            env=env,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )

    def line(self) -> list[str]:
        assert self.process.stdout is not None
        return self.process.stdout.readline().split(maxsplit=2)

    def go(self) -> None:
        assert self.process.stdin is not None
        self.process.stdin.write("\n")
        self.process.stdin.flush()

    def rest(self) -> list[list[str]]:
        out, _ = self.process.communicate(timeout=60)
        return [line.split(maxsplit=2) for line in out.splitlines()]

    def kill(self) -> None:
        """``kill -9``: no handler runs, nothing is flushed."""
        self.process.kill()


def run(env: dict[str, str], *words: str) -> list[list[str]]:
    """A worker from start to end; what it said."""
    bench = Bench(env, *words)
    said = bench.rest()
    assert bench.process.returncode == 0
    return said
