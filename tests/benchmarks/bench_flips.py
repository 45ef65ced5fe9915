"""Whether single bits flipped anywhere in a signed edition are all found. Run as a plain script.

python tests/benchmarks/bench_flips.py        1,000 bits of the demo edition
python tests/benchmarks/bench_flips.py 200    as many as named
"""

from __future__ import annotations

import random
import sys
import tempfile
import time
from pathlib import Path

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from pocketref.edition.proof import prove
from pocketref.edition.signing import sign_manifest
from pocketref.edition.verify import verify_folder
from pocketref.problems import PocketrefError
from pocketref.publish.build import build_edition, publish_edition

ROOT = Path(__file__).parents[2]


def is_found(folder: Path, key: Ed25519PrivateKey) -> bool:
    """Whether the folder is refused or has something wrong."""
    try:
        return bool(verify_folder(folder, key.public_key()).problems)
    except PocketrefError:
        return True


def flip_bits(folder: Path, key: Ed25519PrivateKey, count: int) -> int:
    """How many of `count` flips are found; files are taken by turns, so that small ones come up as often."""
    chance = random.Random(2027)
    paths = sorted(path for path in folder.rglob("*") if path.is_file())
    found = 0
    for turn in range(count):
        path = paths[turn % len(paths)]
        data = path.read_bytes()
        flipped = bytearray(data)
        place = chance.randrange(8 * len(data))
        flipped[place // 8] ^= 1 << place % 8
        path.write_bytes(flipped)
        found += is_found(folder, key)
        path.write_bytes(data)
    return found


def main(count: int) -> None:
    """Publish the demo edition into a temporary folder and flip bits of it."""
    key = Ed25519PrivateKey.generate()
    proof = prove(ROOT / "content", ROOT / "layouts")
    with tempfile.TemporaryDirectory() as folder:
        files = list(build_edition(proof))
        target = publish_edition(proof, files, Path(folder), lambda manifest: sign_manifest(key, manifest))
        start = time.perf_counter()
        found = flip_bits(target, key, count)
        seconds = time.perf_counter() - start
    sys.stdout.write(f"{found} of {count} flips found in {len(files)} files, {seconds:.1f} s\n")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 1000)
