"""PostgreSQL's own programs for copies, called so that no password stands in the list of processes."""

from __future__ import annotations

import os
import shutil
import subprocess
from pathlib import Path

from sqlalchemy import URL

from desk.errors import Conflict


def run_program(name: str, url: URL | None, *arguments: str | Path) -> str:
    """Run `pg_dump` or `pg_restore` and return what it prints; the password goes by the environment."""
    program = shutil.which(name)
    if program is None:
        raise Conflict(f"{name} is not installed here; install PostgreSQL's client programs, or run it on the server.")
    environment = dict(os.environ)
    given = [program, *map(str, arguments)]
    if url is not None:
        if url.password:
            environment["PGPASSWORD"] = str(url.password)
        plain = url.set(drivername="postgresql")._replace(password=None)
        given.append(f"--dbname={plain.render_as_string()}")
    done = subprocess.run(given, capture_output=True, text=True, check=False, env=environment)
    if done.returncode != 0:
        lines = done.stderr.strip().splitlines()
        raise Conflict(f"{name} failed: {lines[-1] if lines else 'it gave no reason'}")
    return done.stdout
