"""`lugbook diagnose`: what the readings say of the charging path, and what to measure next."""

from __future__ import annotations

import argparse
import json

from lugbook.commands.common import job_folder
from lugbook.pipeline import diagnose_job


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("job", help="the job's folder")
    parser.add_argument("--json", action="store_true", help="print the answer as JSON")


def run(arguments: argparse.Namespace) -> int:
    answer = diagnose_job(job_folder(arguments.job))
    if arguments.json:
        print(json.dumps(answer.data, ensure_ascii=False, indent=1))
    else:
        print("\n".join(answer.lines))
    return 0
