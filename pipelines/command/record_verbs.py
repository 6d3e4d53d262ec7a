"""What each verb of records does: take them in, look after them and the ledger that holds them, show them on a dashboard.

In: the parsed command. Out: text on standard output, warnings on standard error, an exit code.
Elsewhere: figures (`verbs`), how a verb asks and prints (`asking`), the words of the command (`parser`).
"""

import argparse
from pathlib import Path

from pipelines.advice.words import counted
from pipelines.command.asking import answered, ledger_of, printed, refuse_overwriting, say, settings_of
from pipelines.command.progress import bar
from pipelines.errors import WrongInput
from pipelines.exports.answer import as_csv
from pipelines.exports.text_table import as_table
from pipelines.flow import (
    answering,
    coding_queue,
    copies,
    history,
    pairs,
    previewing,
    sample,
    searching,
    taking,
)
from pipelines.terms.cautions import DEFERENCE
from pipelines.terms.scope import Scope


def demo(request: argparse.Namespace) -> int:
    """Make a ledger from the sample fleet, print calls by cause and the verdicts, open the dashboard."""
    ledger = request.ledger or sample.SAMPLE_LEDGER
    settings = settings_of(request)
    say(f"Taking the sample fleet into {ledger} …")
    taken = sample.take_in_sample(ledger, settings)
    say(taken.sentence)
    with copies.current_copy(ledger, settings) as copy:
        scope = Scope()
        print(f"\nRescue calls by cause\n{as_table(answering.rates(copy, scope, settings), 'rates')}")
        print(f"\nVerdicts\n{as_table(answering.intervals(copy, scope, settings), 'intervals')}\n\n{DEFERENCE}")
    return 0 if request.no_serve else _serve(ledger, request)


def intake(request: argparse.Namespace) -> int:
    """Take records in, look them over first, undo an import, or suggest a mapping."""
    if request.suggest_map:
        print(taking.suggested_map(request.suggest_map, request.kind or ""))
        return 0
    if request.look_over:
        return _look_over(request)
    refuse_overwriting(request.left_out)
    settings = settings_of(request)
    if request.undo is not None:
        taken = taking.undo(ledger_of(request), request.undo, settings, request.taken_in_by)
    elif request.paths:
        wish = taking.Wish(tuple(request.paths), request.map, request.kind, request.strict, request.taken_in_by)
        taken = taking.take_in(ledger_of(request), wish, settings, bar())
    else:
        raise WrongInput("nothing to take in. Name a file or a folder, such as: towless intake records/")
    printed(taken.answer, request)
    _say_left_out(taken, request.left_out)
    return 0


def _look_over(request: argparse.Namespace) -> int:
    """Print what files would come to; a mapping is suggested for one that would be refused."""
    request.listing = "look_over"
    told = previewing.look_over(request.paths, request.map, request.kind or "", ledger_of(request))
    printed(told, request)
    if told.extra["suggestion"]:
        say(f"A first mapping for what would be refused; save it and name it with --map FILE:\n\n{told.extra['suggestion']}")
    return 0


def records(request: argparse.Namespace) -> int:
    """Print what the ledger holds, how a row came to say what it says, or the pairs that wait; settle a pair."""
    if request.find is not None:
        request.listing = "find"
        return answered(request, searching.find, words=request.find)
    if request.history or request.row is not None:
        request.listing = "history"
        printed(history.history(ledger_of(request), *(request.history or ("", "")), row=request.row), request)
        return 0
    said = [(pair, same) for pair, same in ((request.same, True), (request.not_same, False)) if pair]
    for (call, ticket), same in said:
        told = pairs.settle_pair(
            ledger_of(request), call, ticket, same=same, by=request.settled_by, because=request.because, settings=settings_of(request)
        )
        say(told)
    if request.words is not None:
        request.listing = "words"
        return answered(request, coding_queue.words, code_list=request.words)
    if _settle(request) or request.queue:
        request.listing = "queue"
        return answered(request, coding_queue.to_code)
    if not (request.pairs or said):
        return answered(request, answering.records)
    request.listing = "pairs"
    return answered(request, pairs.to_settle)


def _settle(request: argparse.Namespace) -> bool:
    """Settle the word and confirm the row that were named; say so, and whether there was any."""
    ledger, by, settings = ledger_of(request), request.settled_by, settings_of(request)
    if request.settle:
        code_list, word, code = request.settle
        say(coding_queue.settle_word(ledger, code_list, word, code, by, settings))
    if request.confirm:
        row, column, code = request.confirm
        if not row.isdigit():
            raise WrongInput(f"--confirm {row}: not the number of a row. Rows that wait and their numbers: towless records --queue")
        say(coding_queue.confirm_row(ledger, int(row), column, code, by, settings))
    return bool(request.settle or request.confirm)


def serve(request: argparse.Namespace) -> int:
    """Open the dashboard."""
    return _serve(ledger_of(request), request)


def backup(request: argparse.Namespace) -> int:
    """Write a checked copy of the ledger."""
    say(copies.backup(ledger_of(request), request.file))
    return 0


def restore(request: argparse.Namespace) -> int:
    """Put a checked copy back."""
    say(copies.restore(request.file, ledger_of(request), settings_of(request)))
    return 0


def _serve(ledger: Path, request: argparse.Namespace) -> int:
    # Loading the dashboard takes a second that no other verb should wait for.
    from dashboard.serve import serve as serve_dashboard

    asked = getattr(request, "sign_in", None)
    return serve_dashboard(ledger, host=request.host, port=request.port, settings=request.settings, sign_in=asked)


def _say_left_out(taken: taking.TakenIn, file: Path | None) -> None:
    for line in taken.complaints():
        say(line)
    if file is not None:
        file.write_text(as_csv(taken.left_out), encoding="utf-8")
        say(f"What was left out stands in {file} with {counted(taken.left_out.height, 'reason', 'reasons')}.")
