"""`lugbook diagnose`: what the readings say of the charging path, and what to measure next."""

from __future__ import annotations

import argparse
import json
from pathlib import Path

from lugbook.commands.common import add_language, job_folder, print_problems
from lugbook.errors import InputRefusedError
from lugbook.pipeline.diagnosing import diagnose_job


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("job", help="the job's folder")
    parser.add_argument("--json", action="store_true", help="print the answer as JSON")
    add_language(parser)


def run(arguments: argparse.Namespace) -> int:
    try:
        answer = diagnose_job(job_folder(arguments.job), arguments.language)
    except InputRefusedError as error:
        print_problems(error.problems, Path())
        raise
    if arguments.json:
        print(json.dumps(answer.data, ensure_ascii=False, indent=1))
    else:
        print("\n".join(answer.lines))
    return 0
