"""The `towless` command: words in, an exit code out.

In: the command line. Out: the answer on standard output, what went wrong on standard error, the exit code of the contract.
Elsewhere: what the verbs are called and take (`parser`), what they do (`verbs`).
"""

import os
import sys
from collections.abc import Sequence

from pipelines.command.parser import parser
from pipelines.errors import TowlessError

STOPPED = 130


def main(words: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code: 0 done, 1 refused, 2 wrong input, 3 ledger in use or damaged."""
    request = parser().parse_args(words)
    try:
        return request.run(request)
    except TowlessError as fault:
        print(f"towless {request.verb}: {fault}", file=sys.stderr)
        return fault.exit_code
    except KeyboardInterrupt:
        print("towless: stopped; the ledger is as it was before or after, never between.", file=sys.stderr)
        return STOPPED
    except BrokenPipeError:
        # Whoever read the answer (head, less) has seen enough; pointing standard output away keeps the interpreter quiet.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0


if __name__ == "__main__":
    sys.exit(main())
