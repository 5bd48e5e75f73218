"""All benches, each in a process of its own: `python -m tests.bench`, or with `--smoke` only to see that they run."""

import subprocess
import sys
from pathlib import Path

SMOKE = [argument for argument in sys.argv[1:] if argument == "--smoke"]


def main() -> int:
    failed = []
    for bench in sorted(Path(__file__).parent.glob("bench_*.py")):
        sys.stdout.write(f"{bench.stem.removeprefix('bench_')}\n")
        sys.stdout.flush()
        if subprocess.run([sys.executable, "-m", f"tests.bench.{bench.stem}", *SMOKE], check=False).returncode:
            failed.append(bench.stem)
    sys.stdout.write(f"did not run: {', '.join(failed)}\n" if failed else "all ran\n")
    return len(failed)


if __name__ == "__main__":
    sys.exit(main())
