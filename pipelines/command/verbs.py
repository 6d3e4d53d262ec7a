"""What each verb of the command does: ask `flow`, print the answer.

In: the parsed command. Out: text on standard output, warnings on standard error, an exit code.
Elsewhere: the words of the command (`parser`), the work itself (`flow`).
"""

import argparse
import sys
from dataclasses import replace
from datetime import date
from pathlib import Path
from uuid import uuid4

from pipelines.advice.words import counted
from pipelines.command import due_beside
from pipelines.command.progress import bar
from pipelines.errors import WrongInput
from pipelines.exports.answer import Answer, as_csv, as_json
from pipelines.exports.calendar import write_calendar
from pipelines.exports.listings import as_table
from pipelines.exports.package.written import write_package
from pipelines.exports.week_page import as_page
from pipelines.exports.withholding import withheld
from pipelines.flow import (
    adopting,
    alarms,
    answering,
    backtesting,
    calls_now,
    coding_queue,
    copies,
    due_list,
    history,
    kept_forecasts,
    outside,
    packaging,
    pairs,
    plan_history,
    previewing,
    printing,
    putting_off,
    sample,
    searching,
    shelf,
    taking,
)
from pipelines.flow import week as weeks
from pipelines.flow.fleet_words import understood
from pipelines.flow.kits import kits
from pipelines.terms.cautions import DEFERENCE
from pipelines.terms.kit import SAFETY_GEAR
from pipelines.terms.scope import Scope
from pipelines.terms.settings import Settings, read_settings

DEFAULT_LEDGER = Path("fleet.duckdb")
ADVISING = ("week", "intervals", "due", "stock", "likely", "backtest")


def demo(request: argparse.Namespace) -> int:
    """Make a ledger from the sample fleet, print calls by cause and the verdicts, open the dashboard."""
    ledger = request.ledger or sample.SAMPLE_LEDGER
    settings = _settings(request)
    _say(f"Taking the sample fleet into {ledger} …")
    taken = sample.take_in_sample(ledger, settings)
    _say(taken.sentence)
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
    _refuse_overwriting(request.left_out)
    settings = _settings(request)
    if request.undo is not None:
        taken = taking.undo(_ledger(request), request.undo, settings, request.taken_in_by)
    elif request.paths:
        wish = taking.Wish(tuple(request.paths), request.map, request.kind, request.strict, request.taken_in_by)
        taken = taking.take_in(_ledger(request), wish, settings, bar())
    else:
        raise WrongInput("nothing to take in. Name a file or a folder, such as: towless intake records/")
    _print(taken.answer, request)
    _say_left_out(taken, request.left_out)
    return 0


def _look_over(request: argparse.Namespace) -> int:
    """Print what files would come to; a mapping is suggested for one that would be refused."""
    request.listing = "look_over"
    mapping = request.map.read_text(encoding="utf-8") if request.map else ""
    told = previewing.look_over(request.paths, mapping, request.kind or "", _ledger(request))
    _print(told, request)
    if told.extra["suggestion"]:
        _say(f"A first mapping for what would be refused; save it and name it with --map FILE:\n\n{told.extra['suggestion']}")
    return 0


def records(request: argparse.Namespace) -> int:
    """Print what the ledger holds, how a row came to say what it says, or the pairs that wait; settle a pair."""
    if request.find is not None:
        request.listing = "find"
        return _answer(request, searching.find, words=request.find)
    if request.history or request.row is not None:
        request.listing = "history"
        _print(history.history(_ledger(request), *(request.history or ("", "")), row=request.row), request)
        return 0
    said = [(pair, same) for pair, same in ((request.same, True), (request.not_same, False)) if pair]
    for (call, ticket), same in said:
        told = pairs.settle_pair(
            _ledger(request), call, ticket, same=same, by=request.settled_by, because=request.because, settings=_settings(request)
        )
        _say(told)
    if request.words is not None:
        request.listing = "words"
        return _answer(request, coding_queue.words, code_list=request.words)
    if _settle(request) or request.queue:
        request.listing = "queue"
        return _answer(request, coding_queue.to_code)
    if not (request.pairs or said):
        return _answer(request, answering.records)
    request.listing = "pairs"
    return _answer(request, pairs.to_settle)


def _settle(request: argparse.Namespace) -> bool:
    """Settle the word and confirm the row that were named; say so, and whether there was any."""
    ledger, by, settings = _ledger(request), request.settled_by, _settings(request)
    if request.settle:
        code_list, word, code = request.settle
        _say(coding_queue.settle_word(ledger, code_list, word, code, by, settings))
    if request.confirm:
        row, column, code = request.confirm
        if not row.isdigit():
            raise WrongInput(f"--confirm {row}: not the number of a row. Rows that wait and their numbers: towless records --queue")
        _say(coding_queue.confirm_row(ledger, int(row), column, code, by, settings))
    return bool(request.settle or request.confirm)


def week(request: argparse.Namespace) -> int:
    """Print what the week asks for."""
    return _answer(request, weeks.week)


def rates(request: argparse.Namespace) -> int:
    """Print rates of calls or failures."""
    pair = tuple(request.compare) if request.compare else None
    return _answer(request, answering.rates, of=request.of, by=request.by, compare=pair, with_patterns=request.format == "json")


def lives(request: argparse.Namespace) -> int:
    """Print one row a life."""
    return _answer(request, answering.lives)


def fits(request: argparse.Namespace) -> int:
    """Print fits of the ledger's lives, or of a table of lives from outside."""
    if request.lives:
        _print(outside.fits_of_table(request.lives, request.clock, _settings(request)), request)
        return 0
    return _answer(request, answering.fits, by=request.by, clock=request.clock, with_details=request.format == "json")


def intervals(request: argparse.Namespace) -> int:
    """Print the verdicts or what was adopted, or adopt intervals."""
    if request.adopted:
        request.listing = "adopted"
        return _answer(request, plan_history.adoptions)
    if not request.adopt and (request.every_h is not None or request.every_months is not None):
        raise WrongInput("--every-h and --every-months say what to adopt. Name the part with --adopt COMPONENT, or leave them out.")
    if request.adopt:
        adoption = adopting.Adoption(tuple(request.adopt), request.every_h, request.every_months, request.adopted_by, request.because)
        told = adopting.adopt(_ledger(request), adoption, _scope(request), _settings(request))
        _say(told)
    return _answer(request, answering.intervals, by=request.by, costs_file=request.costs)


def due(request: argparse.Namespace) -> int:
    """Print what is due or what was put off, put a task off, and write the calendar if asked."""
    beside = due_beside.is_asked(request)  # before anything is written
    if request.put_offs:
        request.listing = "put-offs"
        return _answer(request, putting_off.put_offs)
    if request.put_off:
        _say(putting_off.put_off(_ledger(request), _wish_to_put_off(request), _settings(request)))
        request.until = None  # it was the day of the put-off, not the end of what is known
    _refuse_overwriting(request.calendar)
    settings, scope = _settings(request), _scope(request)
    if beside:
        return _due_beside(request, scope, settings)
    answer = copies.asked(
        _ledger(request), settings, lambda copy: answering.due(copy, understood(copy, scope), settings, within_days=request.within)
    )
    if request.calendar is not None:
        write_calendar(answer, request.calendar)
    _print(answer, request)
    for sentence in due_list.cannot_be_told(answer.extra):
        _say(sentence)
    return 0


def _due_beside(request: argparse.Namespace, scope: Scope, settings: Settings) -> int:
    """Print visits or spare boats, and write the calendar of the visits if asked."""
    answer = due_beside.asked(request, _ledger(request), scope, settings)
    if request.calendar is not None:
        write_calendar(answer, request.calendar)
    request.listing = due_beside.VISITS if request.visits else due_beside.SPARE_BOATS
    _print(answer if request.format == "json" else due_beside.alone(answer, request), request)
    for sentence in due_beside.said_of(answer, request):
        _say(sentence)
    return 0


def _wish_to_put_off(request: argparse.Namespace) -> putting_off.PutOff:
    return putting_off.PutOff(
        request.put_off,
        request.until,
        request.put_off_by,
        request.because,
        request.boat,
        request.engine,
        request.position,
        request.task,
        request.until_h,
    )


def stock(request: argparse.Namespace) -> int:
    """Write down what was done to the shelf, then print what to stock and order; or the kit that each type of boat should carry."""
    _change_shelf(request)
    if request.kit:
        request.listing = "kit"
        _say(SAFETY_GEAR)
        return _answer(request, kits, budget=request.kit_budget, most_weight=request.kit_weight)
    return _answer(request, answering.stock, budget=request.budget)


def _change_shelf(request: argparse.Namespace) -> None:
    """Write down what was ordered, received or counted, and say what stands there now."""
    said = {shelf.ORDERED: request.ordered, shelf.RECEIVED: request.received, shelf.COUNTED: request.counted}
    changes = [
        shelf.ShelfChange(part, done, shelf.whole_pieces(pieces), request.base)
        for done, pairs_said in said.items()
        for part, pieces in pairs_said
    ]
    if changes:
        form = uuid4().hex
        for line in shelf.write_shelf(_ledger(request), changes, request.done_by, request.because, form, _settings(request)).told:
            _say(line)


def export(request: argparse.Namespace) -> int:
    """Write the figures to a folder."""
    settings = _settings(request)
    package = copies.asked(_ledger(request), settings, lambda copy: packaging.package_of(copy, understood(copy, _scope(request)), settings))
    written = write_package(package, request.folder, request.forms)
    for remark in package.remarks:
        _say(remark)
    _say(f"{counted(len(written), 'file', 'files')} written to {request.folder}; dictionary.html says what each column means.")
    return 0


def likely(request: argparse.Namespace) -> int:
    """Print the likely causes of a call."""
    return _answer(request, calls_now.likely, boat=request.boat, symptom=request.symptom, on=request.on)


def backtest(request: argparse.Namespace) -> int:
    """Print seasons foretold and what came, the season that comes, forecasts that were kept, or what wants a look now."""
    if request.keep:
        _say(kept_forecasts.keep(_ledger(request), request.kept_by, _settings(request)))
    if request.keep or request.kept:
        request.listing = "kept_forecasts"
        return _answer(request, kept_forecasts.kept)
    if request.next:
        request.listing = "coming"
        return _answer(request, kept_forecasts.coming)
    if not request.alarms:
        return _answer(request, backtesting.backtest)
    request.listing = "alarms"
    return _answer(request, alarms.alarms)


def print_(request: argparse.Namespace) -> int:
    """Write one paper as a PDF, or as a table."""
    _refuse_overwriting(request.file)
    settings, scope = _settings(request), _scope(request)
    with copies.current_copy(_ledger(request), settings) as copy:
        wish = (request.paper, request.file, request.size, request.within, request.boat)
        limits = (request.kit_budget, request.kit_weight)
        written = printing.print_paper(copy, scope, settings, *wish, budget=request.budget, kit_limits=limits)
    told = ("sheet", "sheets") if request.file.suffix.lower() == ".pdf" else ("row", "rows")
    _say(f"{request.file}: {counted(written, *told)}. {DEFERENCE}")
    return 0


def serve(request: argparse.Namespace) -> int:
    """Open the dashboard."""
    return _serve(_ledger(request), request)


def backup(request: argparse.Namespace) -> int:
    """Write a checked copy of the ledger."""
    _say(copies.backup(_ledger(request), request.file))
    return 0


def restore(request: argparse.Namespace) -> int:
    """Put a checked copy back."""
    _say(copies.restore(request.file, _ledger(request), _settings(request)))
    return 0


def _serve(ledger: Path, request: argparse.Namespace) -> int:
    # Loading the dashboard takes a second that no other verb should wait for.
    from dashboard.serve import serve as serve_dashboard

    asked = getattr(request, "sign_in", None)
    return serve_dashboard(ledger, host=request.host, port=request.port, settings=request.settings, sign_in=asked)


def _answer(request: argparse.Namespace, question, **choices) -> int:
    settings = _settings(request)
    answer = copies.asked(_ledger(request), settings, lambda copy: question(copy, understood(copy, _scope(request)), settings, **choices))
    _print(answer, request)
    return 0


def _print(answer: Answer, request: argparse.Namespace) -> None:
    if request.format == "json":
        print(as_json(answer))
    elif request.format == "csv":
        print(withheld(as_csv(answer.rows)), end="")
    else:
        print(as_page(answer) if request.verb == "week" else as_table(answer, getattr(request, "listing", request.verb)))
        _print_deference(request.verb)
    _say_of_the_day(answer, getattr(request, "as_of", None))


def _say_of_the_day(answer: Answer, asked: date | None) -> None:
    """Say what is assumed of days after the last record, or that nothing is said of them."""
    told = answer.head.get("as_of")
    if "note" in answer.extra:
        _say(answer.extra["note"])
    elif asked is not None and told is not None and told < asked:
        _say(f"No record is dated after {told}, so this is told as of that day. What is due and what to stock can be told of later days.")


def _print_deference(verb: str) -> None:
    if verb in ADVISING:
        print(f"\n{DEFERENCE}")


def _say(sentence: str) -> None:
    print(sentence, file=sys.stderr)


def _say_left_out(taken: taking.TakenIn, file: Path | None) -> None:
    for line in taken.complaints():
        _say(line)
    if file is not None:
        file.write_text(as_csv(taken.left_out), encoding="utf-8")
        _say(f"What was left out stands in {file} with {counted(taken.left_out.height, 'reason', 'reasons')}.")


def _refuse_overwriting(file: Path | None) -> None:
    """Refuse a file that is there already or has no folder, before anything is done."""
    if file is None:
        return
    if file.exists():
        raise WrongInput(f"{file}: is there already and is not overwritten. Name a file that is not there yet.")
    if not file.parent.is_dir():
        raise WrongInput(f"{file}: there is no folder {file.parent}. Make it first, or name a file in a folder that is there.")


def _ledger(request: argparse.Namespace) -> Path:
    return request.ledger or DEFAULT_LEDGER


def _settings(request: argparse.Namespace) -> Settings:
    settings = read_settings(request.settings)
    asked = {
        "level": getattr(request, "level", None),
        "horizon_days": getattr(request, "horizon", None),
        "service_level": getattr(request, "service_level", None),
        "yard_hours_a_week": getattr(request, "hours_a_week", None),
        "next_visit_days": getattr(request, "next_visit", None),
    }
    return replace(settings, **{name: value for name, value in asked.items() if value is not None})


def _scope(request: argparse.Namespace) -> Scope:
    named = vars(request)
    return Scope(
        base=named.get("base", ""),
        vessel_class=named.get("vessel_class", ""),
        model=named.get("model", ""),
        component=named.get("component", ""),
        since=named.get("since"),
        until=named.get("until"),
        as_of=named.get("as_of"),
    )
